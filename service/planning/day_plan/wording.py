"""What is said about a plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, tzinfo

from service.models.day_plan import PlannedFlight, Shift
from service.models.finding import WORST_FIRST, Standing
from service.planning.call_first import MARK

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
    cautions = sum(1 for each in flights if each.stands == "caution")
    more = f"; {cautions} at caution, for the safety officer to weigh" if cautions else ""
    calls = sum(1 for each in flights if each.call_first)
    more += f"; {calls} only after a call" if calls else ""
    return f"{len(flights)} of {entries} entries have a place, from {flights[0].label} to {flights[-1].label}{more}."


def why_then(may: Sequence[Standing], hours: int, stronger: Standing) -> str:
    """Why a flight stands where it stands in the order: its standings in the hours it has, and in the stronger wind.

    >>> why_then(["clear", "clear", "caution"], 6, "caution")
    'clear in 2 and at caution in 1 of 6 hours; at caution in the stronger wind'
    >>> why_then(["caution"] * 6, 6, "stop")
    'at caution in every hour; at stop in the stronger wind'
    """
    counted = [(at(each), may.count(each)) for each in ("clear", "caution") if each in may]
    windows = " and ".join(f"{words} in {number}" for words, number in counted) + f" of {hours} hours"
    if [number for _, number in counted] == [hours]:
        windows = f"{counted[0][0]} in every hour"
    return f"{windows}; {at(stronger)} in the stronger wind"


def at(standing: Standing) -> str:
    """A standing in the midst of a sentence."""
    return {"clear": "clear", "unknown": "unknown"}.get(standing, f"at {standing}")


def call_lines(flights: Iterable[PlannedFlight]) -> Iterator[str]:
    """A sentence for each ceiling that has to be called for, with the flights that it is for."""
    by_call: dict[str, list[PlannedFlight]] = {}
    for each in flights:
        if each.call_first:
            by_call.setdefault(each.call_first, []).append(each)
    for said, alike in by_call.items():
        told = ", ".join(f"{each.entry} {each.label} ({at(each.standing)}, then {at(each.stands)})" for each in alike)
        yield f"{MARK}: {told}. {said}"


def stronger_words(flights: Sequence[PlannedFlight], shifts: Sequence[Shift], by_mps: float) -> str:
    """What more wind changes: over all hours, then for the order as it is proposed."""
    worse = sum(1 for each in shifts if WORST_FIRST.index(each.after) < WORST_FIRST.index(each.before))
    better = len(shifts) - worse
    said = f"If the wind is {by_mps:g} m/s stronger, {worse} {'standing is' if worse == 1 else 'standings are'} worse"
    said += f" and {better} better" if better else ""
    moved = Counter((each.stands, each.stronger) for each in flights if each.stands != each.stronger)
    if not flights:
        return f"{said}."
    if not moved:
        return f"{said}; every flight of the order stands as before."
    told = []
    for (before, after), number in sorted(moved.items(), key=lambda each: WORST_FIRST.index(each[0][1])):
        names = [each.entry for each in flights if (each.stands, each.stronger) == (before, after)]
        lost = f" ({', '.join(names)})" if after not in ("clear", "caution") else ""
        told.append(f"{number} {'goes' if number == 1 else 'go'} from {before} to {after}{lost}")
    return f"{said}; of the order's {len(flights)}, {', '.join(told)}."
