"""What clears a finding without a change of the entry: somebody else, or another hour."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from service.models.conditions import Conditions
from service.models.entry import Entry
from service.models.finding import Finding
from service.planning.advise.lever import MARGINS
from service.planning.advise.single import Seeker
from service.planning.advise.trials import Trials, standings
from service.planning.assess import SEED, assess_entry
from service.planning.day_plan.hours import hours_of

WEATHER = ("surface_wind", "gust_", "visibility", "cloud_cover", "daylight")
NOT_BY_HOUR = ("flyer_", "labelled_", "plugged_", *MARGINS)


def hopeless(entry: Entry, finding: Finding) -> str:
    """Why nothing about the entry can clear a finding; empty where something may."""
    quantity = finding.quantity or ""
    if entry.rocket.airframe is None and finding.standing == "unknown" and quantity.startswith(MARGINS):
        return "The airframe is not described, so its margin cannot be told: describe nose, body and fins."
    if quantity.startswith(WEATHER):
        return "It rests on the weather: no change to the rocket or the pad clears it."
    if quantity == "conditions_age_min":
        return "It rests on the reading, not on the rocket: take a new one."
    return ""


def somebody_else(finding: Finding) -> str:
    """Who else could take the flight, where the flyer is what a finding is about; empty elsewhere."""
    if finding.quantity == "flyer_adult":
        return "As it is, it takes a flyer of 18 or older."
    if finding.quantity == "flyer_certification" and finding.limit is not None:
        return f"As it is, it takes a flyer certified to level {finding.limit:g}."
    return ""


def another_hour(seeker: Seeker, finding: Finding) -> str:
    """The first later hour of the forecast in which a finding is clear and none stands worse; empty without one."""
    if (finding.quantity or "").startswith(NOT_BY_HOUR):
        return ""
    trials, day = seeker.trials, seeker.trials.day
    for hour in hours_of(day):
        if hour.start <= trials.conditions.observed_at:
            continue
        if _bears(seeker, finding, hour.conditions, few=True) and _bears(seeker, finding, hour.conditions, few=False):
            when = hour.start.astimezone(ZoneInfo(day.timezone)).strftime("%H:%M")
            return f"Or wait: as forecast for {when} this is clear and nothing stands worse. Assess it again then."
    return ""


def _bears(seeker: Seeker, finding: Finding, conditions: Conditions, few: bool) -> bool:
    """Whether the finding is clear in other conditions and nothing is worse than it is now."""
    trials: Trials = seeker.trials
    trials.check()
    day = trials.day
    samples = trials.screening_samples
    if few:
        day = day.model_copy(update={"policy": day.policy.model_copy(update={"samples": samples})})
    result = assess_entry(
        day, seeker.entry, conditions, ground=trials.ground, seed=SEED, threads=trials.threads,
        most_samples=samples if few else trials.most_samples,
    )  # fmt: skip
    trials.tell()
    after = standings(result, quick=few)
    clear = after.get(finding.rule, "clear") == "clear"
    return result.estimate is not None and clear and not (seeker.harms_quick if few else seeker.harms)(result)
