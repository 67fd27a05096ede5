"""Each flight of a log beside its estimate, and why one does not count."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from service.models.correction import Correction, correction_for
from service.models.learning import ComparedFlight
from service.planning.learning.drag import log_ratio, matching_factor
from service.planning.learning.reflights import Reflights, turned
from service.planning.learning.statistics import odd_ones

LEAST_FLIGHTS = 5  # fewer flights of a rocket make no proposal, and no odd one out can be told among them
SLIP = 2.5  # so many times over or under the estimate it is no flight's scatter: a slip of units or of the pen
EARLY_S = 0.5  # what opens this long before the apogee keeps the rocket from coasting there
FOOT_SLIP = (3.0, 3.6)  # times over: feet written as metres


@dataclass(frozen=True)
class Seen:
    """One flight compared. `number` is its place in the log; ratios are logarithms of measured over estimated."""

    number: int
    rocket: str
    factor: float  # of the drag, in force
    apogee_m: float | None
    why_not: str
    offset_m: tuple[float, float] | None  # landing: along, across
    landing_why_not: str
    odd: bool = False  # its apogee is the odd one out
    landing_odd: bool = False

    @property
    def counts(self) -> bool:
        """Whether its apogee does."""
        return not self.why_not

    @property
    def landing_counts(self) -> bool:
        """Whether its landing point does."""
        return not self.landing_why_not


def see(flights: Reflights, corrections: Sequence[Correction], spreads: dict[str, float]) -> list[Seen]:
    """Compare every flight with its estimate under the corrections in force; mark the odd ones out."""
    seen = [_one(flights, number, corrections) for number in range(len(flights.cases))]
    for rocket in dict.fromkeys(each.rocket for each in seen):
        seen = _without_odd_apogees(flights, seen, rocket)
    for axis in (0, 1):
        seen = _without_odd_landings(flights, seen, axis, spreads)
    return seen


def _one(flights: Reflights, number: int, corrections: Sequence[Correction]) -> Seen:
    case = flights.cases[number]
    bears = correction_for(corrections, case.rocket)
    factor = bears.drag_factor if bears else 1.0
    why = _apogee_why_not(flights, number, factor)
    offset, landing_why = _offset(flights, number, factor)
    estimated_m = flights.apogee_m(number, factor)
    return Seen(
        number=number,
        rocket=case.rocket,
        factor=factor,
        apogee_m=estimated_m if math.isfinite(estimated_m) else None,
        why_not=why,
        offset_m=offset,
        landing_why_not=landing_why,
    )


def _apogee_why_not(flights: Reflights, number: int, factor: float) -> str:
    """Why a flight's apogee does not count; empty where it does."""
    flight = flights.cases[number].flight
    if flight.happened != "planned":
        return f"it ended otherwise: {flight.happened.replace('_', ' ')}"
    if flight.apogee_m is None:
        return "its apogee was not measured"
    unflown = flights.why_not(number, factor)
    if unflown:
        return unflown
    if not flight.apogee_m > 0.0:
        return "a measured apogee of 0 m is none"
    early_s = flights.opens_early_s(number, factor)
    if early_s > EARLY_S:
        return f"by estimate it opens {early_s:.1f} s before the apogee, which it then does not reach"
    times = flight.apogee_m / flights.apogee_m(number, factor)
    if not 1.0 / SLIP <= times <= SLIP:
        guess = "feet written as metres?" if FOOT_SLIP[0] <= times <= FOOT_SLIP[1] else "a slip of the pen or of units?"
        return f"measured {flight.apogee_m:,.0f} m is {times:.2f} times the estimate: {guess}"
    return ""


def _offset(flights: Reflights, number: int, factor: float) -> tuple[tuple[float, float] | None, str]:
    flight = flights.cases[number].flight
    if flight.happened != "planned":
        return None, f"it ended otherwise: {flight.happened.replace('_', ' ')}"
    if flight.landing is None:
        return None, "its landing point is not known"
    unflown = flights.why_not(number, factor)
    if unflown:
        return None, unflown
    measured, estimated = flights.measured_landing_m(number), flights.landing_m(number, factor)
    down = flights.downwind(number, factor)
    if down is None or measured is None or estimated is None:
        return None, "the wind was too light, or too variable, to have a direction"
    return turned((measured[0] - estimated[0], measured[1] - estimated[1]), down), ""


def _without_odd_apogees(flights: Reflights, seen: list[Seen], rocket: str) -> list[Seen]:
    """Judged with the factor that brings the rocket's median flight to its estimate, so that a bias is no oddity."""
    own = [each for each in seen if each.rocket == rocket and each.counts]
    if len(own) < LEAST_FLIGHTS:
        return seen
    found = matching_factor(flights, [[each.number] for each in own], middle=True)
    factor = own[0].factor if found is None else found
    odd = odd_ones([log_ratio(flights, each.number, factor) for each in own], LEAST_FLIGHTS)
    return _marked(seen, {own[place].number: off for place, off in odd.items()}, "apogee")


def _without_odd_landings(flights: Reflights, seen: list[Seen], axis: int, spreads: dict[str, float]) -> list[Seen]:
    """Offsets in units of what the dispersion predicts for each flight."""
    own, scaled = [], []
    for each in seen:
        spread_m = flights.landing_spread_m(each.number, each.factor, spreads) if each.landing_counts else None
        if each.offset_m is not None and spread_m:
            own.append(each)
            scaled.append(each.offset_m[axis] / spread_m[axis])
    odd = odd_ones(scaled, LEAST_FLIGHTS)
    return _marked(seen, {own[place].number: off for place, off in odd.items()}, "landing point")


def _marked(seen: Iterable[Seen], odd: dict[int, tuple[float, float]], what: str) -> list[Seen]:
    found = []
    for each in seen:
        if each.number in odd:
            off, limit = odd[each.number]
            why = f"odd one out: its {what} is {off:.1f} standard deviations off, over {limit:.1f} (ESD test)"
            if what == "apogee":
                each = replace(each, why_not=why, odd=True)
            else:
                each = replace(each, landing_why_not=why, landing_odd=True)
        found.append(each)
    return found


def compared(flights: Reflights, seen: Seen, spreads: dict[str, float]) -> ComparedFlight:
    """One flight as it is told."""
    case = flights.cases[seen.number]
    known = seen.apogee_m is not None and case.flight.happened == "planned"
    spread = flights.apogee_spread(seen.number, seen.factor, spreads) if known and seen.counts else None
    drawn = known and seen.offset_m is not None
    spread_m = flights.landing_spread_m(seen.number, seen.factor, spreads) if drawn else None
    offset = seen.offset_m or (None, None)
    return ComparedFlight(
        label=case.label,
        day=case.day.name,
        entry=case.entry.id,
        rocket=seen.rocket,
        flown_at=case.flight.flown_at.isoformat(),
        happened=case.flight.happened,
        measured_m=case.flight.apogee_m,
        estimated_m=seen.apogee_m,
        recorded_m=case.recorded_apogee_m,
        spread=spread,
        apogee_why_not=seen.why_not,
        along_m=offset[0],
        across_m=offset[1],
        along_spread_m=spread_m[0] if spread_m else None,
        across_spread_m=spread_m[1] if spread_m else None,
        landing_why_not=seen.landing_why_not,
    )
