"""One entry in one hour: a look with few flights at every hour, all flights at the hour chosen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from service.models.assessment import Assessment
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import WORST_FIRST, Standing
from service.planning.advise.errors import AdviceStopped
from service.planning.advise.trials import RANK, as_seen, seen_standing
from service.planning.assess import SEED, assess_entry
from service.planning.ground import Ground
from service.planning.words import finding_sentence

MAY_FLY: tuple[Standing, ...] = ("clear", "caution")  # caution is for the safety officer to weigh


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

    @property
    def may_fly(self) -> bool:
        return self.standing in MAY_FLY


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
        self._check()
        policy = self.day.policy.model_copy(update={"samples": self.few})
        day = self.day.model_copy(update={"policy": policy})
        found = assess_entry(day, entry, conditions, ground=self.ground, seed=SEED, threads=1, most_samples=self.few)
        return _read(found, few=True)

    def whole(self, entry: Entry, conditions: Conditions) -> Look:
        """As the day's policy asks."""
        self._check()
        found = assess_entry(
            self.day, entry, conditions, ground=self.ground, seed=SEED, threads=self.threads,
            most_samples=self.most_samples,
        )  # fmt: skip
        return _read(found, few=False)

    def _check(self) -> None:
        if self.should_stop():
            raise AdviceStopped("called off; nothing was changed")


def _read(found: Assessment, few: bool) -> Look:
    seen = [(seen_standing(each) if few else each.standing, each) for each in found.findings]
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
