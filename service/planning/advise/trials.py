"""Trying entries and pads: few flights to look, the policy's count to be sure, nothing flown twice.

All trials fly the same draws (one seed), so two of them differ by what was changed and not by chance.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from service.models.assessment import Assessment
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad
from service.models.finding import WORST_FIRST, Finding, Standing
from service.planning.advise.errors import AdviceStopped
from service.planning.assess import SAMPLE_CAP, SEED, assess_entry
from service.planning.ground import Ground

SCREENING_SAMPLES = 256
RANK: dict[Standing, int] = {standing: -number for number, standing in enumerate(WORST_FIRST)}  # the worse, the higher
NEAR_SHARE = 0.1  # of a limit: a percentile of few flights may be off by this
RISK_FACTOR = 4.0  # a risk reckoned from few landings may be off by this
RISKS = ("collective_risk", "individual_risk")

Progress = Callable[[int, int, str], None]
Stop = Callable[[], bool] | threading.Event | None


def stopper(should_stop: Stop) -> Callable[[], bool]:
    """One question to ask, whether an event or a function was given."""
    if should_stop is None:
        return lambda: False
    return should_stop.is_set if isinstance(should_stop, threading.Event) else should_stop


@dataclass
class Trials:
    """One rocket's trials on one day. `quick` and `full` assess an entry, on a changed pad where one is given."""

    day: LaunchDay
    ground: Ground
    conditions: Conditions
    at: datetime | None = None
    samples: int = SCREENING_SAMPLES
    most_samples: int = SAMPLE_CAP
    threads: int | None = None
    should_stop: Callable[[], bool] = lambda: False
    on_trial: Callable[[int], None] = lambda flown: None
    _known: dict[tuple[bool, str, str], Assessment] = field(default_factory=dict)
    _allowed: int | None = None

    @property
    def screening_samples(self) -> int:
        """Flights of a quick trial."""
        return min(self.samples, self.day.policy.samples)

    def allow(self, more: int) -> None:
        """Set a budget: so many more trials until `spent`."""
        self._allowed = len(self._known) + more

    def spent(self) -> bool:
        """Whether the budget last set is used up. Trials go on being flown: the asker stops when it suits."""
        return self._allowed is not None and len(self._known) >= self._allowed

    def check(self) -> None:
        """Raise `AdviceStopped` when the asker has called it off."""
        if self.should_stop():
            raise AdviceStopped("called off; nothing was changed")

    def tell(self) -> None:
        """Say how many trials were flown."""
        self.on_trial(len(self._known))

    def quick(self, entry: Entry, pad: Pad | None = None) -> Assessment:
        """Assessed with few flights: verdicts that need more stand at unknown."""
        return self._assess(entry, pad, quick=True)

    def full(self, entry: Entry, pad: Pad | None = None) -> Assessment:
        """Assessed as the day's policy asks."""
        return self._assess(entry, pad, quick=False)

    def _assess(self, entry: Entry, pad: Pad | None, quick: bool) -> Assessment:
        self.check()
        key = (quick, entry.model_dump_json(by_alias=True), pad.model_dump_json() if pad else "")
        if key not in self._known:
            day = with_pad(self.day, pad) if pad else self.day
            few = self.screening_samples
            if quick:
                policy = day.policy.model_copy(update={"samples": few})
                day = day.model_copy(update={"policy": policy})
            self._known[key] = assess_entry(
                day, entry, self.conditions, ground=self.ground, at=self.at, seed=SEED, threads=self.threads,
                most_samples=few if quick else self.most_samples,
            )  # fmt: skip
            self.tell()
        return self._known[key]


def with_pad(day: LaunchDay, pad: Pad) -> LaunchDay:
    """The day with one pad set otherwise; it stands where it stood."""
    pads = tuple(pad if each.name == pad.name else each for each in day.field.pads)
    return day.model_copy(update={"field": day.field.model_copy(update={"pads": pads})})


def seen_standing(finding: Finding) -> Standing:
    """A finding's standing as few flights show it: a verdict too near to call goes by the estimate."""
    if finding.statistic == "interval" and finding.standing == "unknown":
        if isinstance(finding.measured, float | int) and finding.limit is not None:
            over = finding.measured > finding.limit
            return "caution" if over == (finding.comparison == "at_most") else "clear"
    return finding.standing


def as_seen(finding: Finding) -> Finding:
    """A finding as few flights show it: what is decided by the estimate is not called too near to call as well."""
    seen = seen_standing(finding)
    return finding if seen == finding.standing else finding.model_copy(update={"standing": seen, "note": ""})


def standings(assessment: Assessment, quick: bool = False) -> dict[str, Standing]:
    """Rule -> standing; `quick` reads them as few flights show them."""
    return {each.rule: seen_standing(each) if quick else each.standing for each in assessment.findings}


def worsened(before: dict[str, Standing], after: dict[str, Standing]) -> list[str]:
    """Rules that stand worse than before; a rule that did not apply counts as clear."""
    return [rule for rule, standing in after.items() if RANK[standing] > RANK[before.get(rule, "clear")]]


def could_pass(quick: Assessment) -> bool:
    """Whether more flights might clear all that few leave: each such finding hangs on the sample, and nearly holds."""
    if quick.estimate is None:
        return False
    return all(nearly(finding, quick.samples) for finding in quick.findings if seen_standing(finding) != "clear")


def could_caution(quick: Assessment) -> bool:
    """Whether more flights might leave nothing worse than a caution: such a motor may be picked where none passes."""
    if quick.estimate is None:
        return False
    seen = ((finding, seen_standing(finding)) for finding in quick.findings)
    return all(stands in ("clear", "caution") or nearly(finding, quick.samples) for finding, stands in seen)


def nearly(finding: Finding, samples: int) -> bool:
    """Whether what few flights show of a finding may be clear by all of them."""
    measured, limit = finding.measured, finding.limit
    if finding.quantity == "footprint_over_people":
        return True  # the middle of few landings
    if isinstance(measured, bool) or not isinstance(measured, float | int) or limit is None:
        return False
    if finding.statistic == "interval":
        share = 0.01 if finding.unit == "%" else 1.0
        return measured * share <= RISK_FACTOR * limit * share + 3.0 / samples
    if finding.quantity in RISKS:
        return measured <= RISK_FACTOR * limit
    if finding.statistic in ("low", "high"):
        return abs(measured - limit) <= NEAR_SHARE * abs(limit) + 0.02
    return False
