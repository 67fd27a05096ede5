"""One entry in one hour: a look with few flights at every hour, all flights at the hour chosen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from service.models.assessment import Assessment
from service.models.ceiling import Ceiling
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import WORST_FIRST, Finding, Standing
from service.planning.advise.errors import AdviceStopped
from service.planning.advise.trials import RANK, as_seen, seen_standing
from service.planning.assess import SEED, assess_entry
from service.planning.call_first import MAY_FLY, as_called, kept_down, waiting
from service.planning.ground import Ground
from service.planning.words import finding_sentence


@dataclass(frozen=True)
class Look:
    """How an entry stands, what limits it, and what the order needs to know of its flight."""

    standing: Standing
    limits: str
    also: tuple[str, ...]
    rules: tuple[str, ...]
    apogee_m: float | None
    apogee_high_m: float | None
    flight_s: float | None
    samples: int
    assessment: str
    call: Ceiling | None = None
    """What it would fly under once a call is made, where it stands at neither clear nor caution without."""
    called: Standing | None = None
    """How it stands then."""
    called_rules: tuple[str, ...] = ()
    """What is not clear then."""

    @property
    def best(self) -> Standing:
        """How it stands, the call made where there is one to make."""
        return self.called or self.standing

    @property
    def open_rules(self) -> tuple[str, ...]:
        """What is not clear when it stands so."""
        return self.rules if self.called is None else self.called_rules

    @property
    def may_fly(self) -> bool:
        return self.best in MAY_FLY

    def in_more_wind(self, then: Look, elevation_m: float) -> Standing:
        """How a flight that is planned by this look stands by the look in more wind.

        A call that the plan does not ask for is not made, and one for a lower ceiling than it would take then is not
        enough.
        """
        if self.call is None or then.call is None:
            return then.standing
        enough = then.call.height_agl_m(elevation_m) <= self.call.height_agl_m(elevation_m)
        return then.best if enough else then.standing


@dataclass(frozen=True)
class Watch:
    """Looks at entries of one day. `few` flights to look."""

    day: LaunchDay
    ground: Ground
    few: int
    most_samples: int
    threads: int | None
    should_stop: Callable[[], bool]

    def look(self, entry: Entry, conditions: Conditions) -> Look:
        """With few flights, on one thread; a verdict too near to call goes by the estimate."""
        return self._with_call(entry, conditions, few=True)

    def whole(self, entry: Entry, conditions: Conditions) -> Look:
        """As the day's policy asks."""
        return self._with_call(entry, conditions, few=False)

    def _with_call(self, entry: Entry, conditions: Conditions, few: bool) -> Look:
        """As it stands; where only a ceiling keeps it down, as it stands once a call is made too."""
        found = self._flown(self.day, entry, conditions, few)
        plain = _read(found, few)
        if plain.may_fly or not kept_down(_seen(found, few)):
            return plain
        for ceiling in waiting(self.day, conditions.observed_at):
            day = as_called(self.day, ceiling, conditions.observed_at)
            then = _read(self._flown(day, entry, conditions, few), few)
            if then.may_fly:
                return replace(plain, call=ceiling, called=then.standing, called_rules=then.rules)
        return plain

    def _flown(self, day: LaunchDay, entry: Entry, conditions: Conditions, few: bool) -> Assessment:
        self._check()
        if few:
            day = day.model_copy(update={"policy": day.policy.model_copy(update={"samples": self.few})})
        return assess_entry(
            day, entry, conditions, ground=self.ground, seed=SEED, threads=1 if few else self.threads,
            most_samples=self.few if few else self.most_samples,
        )  # fmt: skip

    def _check(self) -> None:
        if self.should_stop():
            raise AdviceStopped("called off; nothing was changed")


def _seen(found: Assessment, few: bool) -> list[tuple[Standing, Finding]]:
    return [(seen_standing(each) if few else each.standing, each) for each in found.findings]


def _read(found: Assessment, few: bool) -> Look:
    seen = _seen(found, few)
    seen.sort(key=lambda each: WORST_FIRST.index(each[0]))  # stable: the codes' own order within a standing
    standing: Standing = seen[0][0] if seen else "unknown"
    estimate = found.estimate
    said = [finding_sentence(as_seen(each) if few else each) for stands, each in seen if stands != "clear"]
    limits = said[0] if said else ""
    if estimate is None and RANK[standing] < RANK["unknown"]:
        standing, limits = "unknown", found.decides
    elif not seen:
        limits = "No rule was checked."
    return Look(
        standing=standing,
        limits=limits,
        also=tuple(said[1:]),
        rules=tuple(each.rule for stands, each in seen if stands != "clear"),
        apogee_m=estimate.apogee_m.nominal if estimate else None,
        apogee_high_m=estimate.apogee_m.p95 if estimate else None,
        flight_s=(estimate.flight_time_s.p95 or estimate.flight_time_s.nominal) if estimate else None,
        samples=found.samples,
        assessment=found.id,
    )


Fits = Callable[[datetime, Look], bool]
