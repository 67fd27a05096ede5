"""What a log teaches, as pictures: what the drawings need, taken from the result."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from reports.drawings.apogee_match import ApogeePoint, apogee_match_picture
from reports.drawings.landing_offsets import OffsetPoint, landing_offsets_picture
from reports.drawings.rocket_bias import BiasRow, rocket_bias_picture
from reports.figures import Units
from reports.scene import Scene
from reports.svg import svg_file
from service.models.learning import Learning, RocketLearning

WIDE = 520.0
SQUARE = 420.0


def apogee_match(found: Learning, units: Units, width: float, height: float) -> Scene:
    """Measured against estimated apogee, those left out as crosses. Flights that ended otherwise are not drawn."""
    points = tuple(
        ApogeePoint(each.rocket, each.estimated_m, each.measured_m, not each.apogee_why_not)
        for each in found.flights
        if each.happened == "planned" and each.estimated_m is not None and each.measured_m is not None
    )
    return apogee_match_picture(points, units, width, height)


def rocket_bias(found: Learning, width: float) -> Scene:
    """Measured over estimated by rocket, and all together at the foot."""
    proposed = {each.rocket for each in found.proposals if each.kind == "drag"}
    rows = [_row(found, each, each.rocket or "", each.rocket in proposed) for each in found.rockets]
    everything = _row(found, found.overall, "All rockets", None in proposed)
    return rocket_bias_picture((*rows, everything), width)


def _row(found: Learning, each: RocketLearning, name: str, proposed: bool) -> BiasRow:
    ratios = tuple(
        flight.measured_m / flight.estimated_m
        for flight in found.flights
        if flight.rocket == each.rocket and not flight.apogee_why_not and flight.measured_m and flight.estimated_m
    )
    ratio = each.ratio
    return BiasRow(
        name, ratios, ratio.estimate if ratio else None, ratio.low if ratio else None, ratio.high if ratio else None,
        proposed, each.rocket is None,
    )  # fmt: skip


def landing_offsets(found: Learning, width: float, height: float) -> Scene:
    """Measured less estimated landing points, the wind blowing up the picture."""
    points = tuple(
        OffsetPoint(each.along_m / each.along_spread_m, each.across_m / each.across_spread_m, not each.landing_why_not)
        for each in found.flights
        if each.along_m is not None and each.across_m is not None and each.along_spread_m and each.across_spread_m
    )
    return landing_offsets_picture(points, width, height)


PICTURES: Mapping[str, Callable[[Learning, Units], Scene]] = {
    "apogees": lambda found, units: apogee_match(found, units, WIDE, SQUARE),
    "rockets": lambda found, units: rocket_bias(found, WIDE),
    "landings": lambda found, units: landing_offsets(found, SQUARE, SQUARE + 30.0),
}


def learning_svg(found: Learning, name: str, units: Units) -> str:
    """One of `PICTURES` as a picture of its own."""
    return svg_file(PICTURES[name](found, units), name)


def learning_svgs(found: Learning, units: Units) -> tuple[tuple[str, str], ...]:
    """Every picture as a file of its own: what its name ends in, and its text."""
    return tuple(
        ("" if name == "apogees" else f"-{name}", learning_svg(found, name, units)) for name in PICTURES
    )  # fmt: skip
