"""Words around the numbers: the answer, the modes, the bearings, the deferral."""

from __future__ import annotations

import math

from reports.amounts import Against, Amount, AsPrinted, Limit, Mode, Part, Words
from reports.figures import UNKNOWN, Units, amount_text, beside, limit_text, rough, scale
from reports.ground_data import Footprint, NearestEdge

DEFERRAL = "Local code, the authority having jurisdiction and the range safety officer come first."
DEFERRAL_LONG = (
    "This sheet reports what was computed and found, with its limits and sources. It approves nothing. "
    "Local code, the authority having jurisdiction and the range safety officer (RSO) come first, in that order; "
    "the RSO has the last word on every flight."
)
MODE_WORDS: dict[Mode, str] = {
    "planned": "recovery as planned",
    "no_deployment": "ballistic: nothing deploys",
    "drogue_only": "drogue only",
    "main_at_apogee": "main out at apogee",
    "one_unlit": "one motor not lit",
}
MODE_PHRASES: dict[Mode, str] = {  # to open a sentence with
    "planned": "With recovery as planned",
    "no_deployment": "With nothing open",
    "drogue_only": "On the drogue alone",
    "main_at_apogee": "With the main out at apogee",
    "one_unlit": "With one motor not lit",
}
ZONE_WORDS = {
    "people": "people",
    "parking": "parking",
    "building": "building",
    "road": "road",
    "power_line": "power line",
    "water": "water",
    "trees": "trees",
    "keep_out": "keep out",
}
COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
COMPASS_SHORT = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def compass(bearing_deg: float, short: bool = False) -> str:
    """The nearest of eight winds: 44° is north-east."""
    if not math.isfinite(bearing_deg):
        return UNKNOWN
    names = COMPASS_SHORT if short else COMPASS
    return names[round((bearing_deg % 360.0) / 45.0) % 8]


def say(words: Words, units: Units) -> str:
    """A sentence with its amounts in the reader's units; what is in brackets behind a figure stands there once.

    >>> rule = AsPrinted((Amount(13.4112, "speed"),), "30 mph", "mph")
    >>> say(("at least ", rule, ": ", rule, ", or more"), "si")
    'at least 13.4 m/s (30 mph): 13.4 m/s, or more'
    """
    if isinstance(words, str):
        return words
    bracketed: set[str] = set()
    return "".join(_part(part, units, bracketed) for part in words)


def _part(part: Part, units: Units, bracketed: set[str]) -> str:
    if isinstance(part, Amount):
        return amount_text(part, units)
    if isinstance(part, Limit):
        return limit_text(part, units)
    if isinstance(part, Against):
        found, asked = beside(part.amount, part.limit, units)
        return f"{found} ({asked})"
    return _as_printed(part, units, bracketed) if isinstance(part, AsPrinted) else part


def _as_printed(part: AsPrinted, units: Units, bracketed: set[str]) -> str:
    largest = max((amount.value or 0.0 for amount in part.amounts), default=0.0)
    unit = scale(part.amounts[0].quantity, largest, units)[2]
    if part.printed and unit == part.unit:
        return part.printed
    *others, last = (amount_text(amount, units, like=largest) for amount in part.amounts)
    said = part.join.join([*(text.removesuffix(f" {unit}") for text in others), last])
    if not part.printed or part.printed in bracketed:
        return said
    bracketed.add(part.printed)
    return f"{said} ({part.printed})"


def share_of_flights(footprint: Footprint) -> str:
    """'97 of 100 flights', always rounded down."""
    chance = footprint.chance_inside
    if chance is None or not math.isfinite(chance):
        return UNKNOWN
    if chance >= 1.0:
        return f"all of {footprint.samples:,} simulated flights" if footprint.samples else "all simulated flights"
    if chance <= 0.0:
        return f"none of {footprint.samples:,} simulated flights" if footprint.samples else "no simulated flight"
    if chance >= 0.995:
        return "more than 99 of 100 flights"
    if chance < 0.01:
        return "fewer than 1 of 100 flights"
    return f"{math.floor(100.0 * chance + 1e-9)} of 100 flights"


def inside_text(footprint: Footprint | None) -> str:
    """The same share in per cent, for a table: '97 %', rounded down as the sentence is; 'all 1,024' where none left."""
    chance = footprint.chance_inside if footprint else None
    if footprint and footprint.samples and chance is not None:
        if chance >= 1.0:
            return f"all {footprint.samples:,}"
        if chance <= 0.0:
            return f"0 of {footprint.samples:,}"
    if chance is not None and math.isfinite(chance) and 0.0 < chance < 1.0:
        step = 0.001 if chance > 0.99 or chance < 0.1 else 0.01  # the digits that a chance prints with
        chance = math.floor(chance / step + 1e-9) * step or chance
    return amount_text(Amount(chance, "chance"), "si")


def sentence(text: str) -> str:
    """The text closed by one full stop, however it ended.

    >>> sentence("Found: 41.5 %."), sentence("nothing stands against it"), sentence("")
    ('Found: 41.5 %.', 'nothing stands against it.', '')
    """
    bare = text.rstrip().rstrip(".")
    return f"{bare}." if bare else ""


def edge_words(edge: NearestEdge, units: Units) -> str:
    """'nearest edge 140 m, to the north-east', or that the contour crosses it."""
    share = f"{100.0 * edge.share:g} % contour"
    if not math.isfinite(edge.distance_m):
        return f"distance to the edge {UNKNOWN}"
    distance = rough(abs(edge.distance_m), units)
    way = compass(edge.bearing_deg)
    if edge.distance_m > 0.0:
        return f"nearest edge {distance} from its {share}, to the {way}"
    return f"its {share} crosses the edge by {distance}, to the {way}"


def answer(footprint: Footprint | None, units: Units) -> str:
    """Where it comes down, in one sentence."""
    if footprint is None or footprint.chance_inside is None or not math.isfinite(footprint.chance_inside):
        why = footprint.why_unknown if footprint else ""
        return f"Where it comes down is {UNKNOWN}{': ' + why if why else ''}."
    sentence = f"Comes down inside the field in {share_of_flights(footprint)}"
    if footprint.nearest_edge is not None:
        sentence += f"; {edge_words(footprint.nearest_edge, units)}"
    return sentence + "."


def plural(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
