"""What is said about a plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

from service.models.day_plan import PlannedFlight, Shift
from service.models.finding import WORST_FIRST

NOTES = (
    "A forecast is no reading: every flight needs an assessment in the conditions of its own time.",
    "Standings come from few flights, in the hour chosen from all that the policy asks for.",
    "What people attest, such as the fire watch, is not part of this plan.",
)


def clock(when: datetime, zone: tzinfo) -> str:
    """A time of day in the field's zone."""
    return when.astimezone(zone).strftime("%H:%M")


def words(flights: Sequence[PlannedFlight], entries: int) -> str:
    """The plan in a sentence."""
    if not flights:
        return f"None of {entries} entries stands better than stop or unknown in any hour of the forecast."
    cautions = sum(1 for each in flights if each.standing == "caution")
    more = f"; {cautions} at caution, for the safety officer to weigh" if cautions else ""
    return f"{len(flights)} of {entries} entries have a place, from {flights[0].label} to {flights[-1].label}{more}."


def why_then(may: int, hours: int, holds: bool) -> str:
    """Why a flight stands where it stands in the order."""
    when = "any hour" if may == hours else f"{may} of {hours} hours"
    windows = f"clear or at caution in {when}"
    return f"{windows}; {'also in the stronger wind' if holds else 'not in the stronger wind'}"


def stronger_words(flights: Sequence[PlannedFlight], shifts: Sequence[Shift], by_mps: float) -> str:
    """What more wind changes."""
    worse = [each for each in shifts if WORST_FIRST.index(each.after) < WORST_FIRST.index(each.before)]
    better = len(shifts) - len(worse)
    lost = [each.entry for each in flights if not each.holds_in_stronger]
    said = f"If the wind is {by_mps:g} m/s stronger, {len(worse)} standings are worse"
    said += f" and {better} better" if better else ""
    if not flights:
        return f"{said}."
    if not lost:
        return f"{said}; every flight of the order is still clear or at caution."
    return f"{said}; of the order these then stand at stop or unknown: {', '.join(lost)}."
