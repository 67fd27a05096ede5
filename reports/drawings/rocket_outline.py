"""A rocket from the side, nose to the left, with its balance point and its centre of pressure marked."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.amounts import Amount
from reports.figures import Units, amount_text
from reports.ground_data import Path
from reports.scene import ASCENT, XY, Area, Disc, Label, Line, Look, Scene, Shape
from reports.theme import Role
from reports.typeface import fit
from reports.typeface import width as text_width

TYPE = 9.5
MARK = 5.0  # radius of a mark
FOOT = 20.0  # strip below for the names of the marks; the margin's lines come under it
LINE = 13.0
MOST_LINES = 4


@dataclass(frozen=True)
class Outline:
    """Stations count from the nose tip, radii from the axis. [m]

    `profile` runs from the tip to the tail; a fin is a polygon on one side of the body, drawn on both.
    `cg_from_nose_m` is the balance point with the motor in, ready to fly.
    """

    profile: Path
    fins: tuple[Path, ...] = ()
    motor: tuple[float, float, float] | None = None  # front, aft, radius
    cg_from_nose_m: float | None = None
    cp_from_nose_m: float | None = None
    margin_cal: float | None = None
    why_unknown: str = ""


def rocket_outline(outline: Outline, units: Units, width: float, height: float, title: str = "Outline") -> Scene:
    """The drawing; a station that is not known is named as UNKNOWN, not left out."""
    scene = Scene(width, height, title, _words(outline, units))
    far_m = max(x for x, _ in (*outline.profile, *(p for fin in outline.fins for p in fin)))
    tall_m = max(r for _, r in (*outline.profile, *(p for fin in outline.fins for p in fin)))
    told = _margin_lines(outline, units, width - 4.0)
    foot = FOOT + LINE * len(told) + 1.0
    scale = min((width - 4.0 * MARK) / max(far_m, 1e-6), (height - foot - 8.0) / max(2.0 * tall_m, 1e-6))
    left, axis = (width - far_m * scale) / 2.0, (height - foot) / 2.0

    def at(station_m: float, radius_m: float) -> XY:
        return left + station_m * scale, axis - radius_m * scale

    body, blade = Look(fill="paper", stroke="ink", width=1.1), Look(fill="tint", stroke="ink", width=0.9)
    for fin in outline.fins:
        for side in (1.0, -1.0):
            scene.add(Area((tuple(at(x, side * r) for x, r in fin),), blade, "fin"))
    around = [at(x, r) for x, r in outline.profile] + [at(x, -r) for x, r in reversed(outline.profile)]
    scene.add(Area((tuple(around),), body, "body"))
    if outline.motor:
        front, aft, radius = outline.motor
        box = (at(front, radius), at(aft, radius), at(aft, -radius), at(front, -radius))
        scene.add(Area((box,), Look(stroke="soft", width=0.8, dash=(3.0, 2.0)), "motor"))
    scene.add(Line((at(0.0, 0.0), at(far_m, 0.0)), Look(stroke="rule", width=0.5, dash=(6.0, 2.0, 1.0, 2.0)), "axis"))
    for mark, station_m in ((_cg, outline.cg_from_nose_m), (_cp, outline.cp_from_nose_m)):
        if _known(station_m):
            scene.add(*mark(at(float(station_m or 0.0), 0.0)))
    scene.add(*_legend(outline, units, height - foot))
    role: Role = "ink" if _known(outline.margin_cal) else "unknown"
    for i, line in enumerate(told):
        scene.add(Label(line, (2.0, height - 4.0 - LINE * (len(told) - 1 - i)), TYPE, role=role, name="margin"))
    return scene


def _known(value: float | None) -> bool:
    return value is not None and math.isfinite(value)


def _cg(centre: XY) -> list[Shape]:
    """The quartered disc that drawings use for a centre of gravity."""
    quarters = []
    for start in (0, 180):
        arc = [
            (centre[0] + MARK * math.cos(math.radians(a)), centre[1] + MARK * math.sin(math.radians(a)))
            for a in range(start, start + 91, 15)
        ]
        quarters.append((centre, *arc))
    ring = Look(fill="paper", stroke="ink", width=1.1)
    return [Disc(centre, MARK, ring, "cg"), Area(tuple(quarters), Look(fill="ink"), "cg")]


def _cp(centre: XY) -> list[Shape]:
    """A ring with a dot, as drawings use for a centre of pressure."""
    ring = Look(fill="paper", stroke="accent", width=1.3)
    return [Disc(centre, MARK, ring, "cp"), Disc(centre, 1.6, Look(fill="accent"), "cp")]


def _legend(outline: Outline, units: Units, top: float) -> list[Shape]:
    """The marks with their stations, in a row from a height on the picture down."""
    shapes: list[Shape] = []
    x, y = 2.0 + MARK, top + 10.0
    for mark, name, station_m in ((_cg, "CG", outline.cg_from_nose_m), (_cp, "CP", outline.cp_from_nose_m)):
        text = f"{name} {_station(station_m, units)}"
        shapes += mark((x, y))
        shapes.append(Label(text, (x + MARK + 4.0, y + ASCENT * TYPE / 2), TYPE, bold=True))
        x += 2 * MARK + 14.0 + text_width(text, TYPE, True)
    return shapes


def _margin_lines(outline: Outline, units: Units, room: float) -> list[str]:
    """The static margin, and why it is not known, broken into lines: a reason that is cut off tells nothing."""
    margin = amount_text(Amount(outline.margin_cal, "calibers"), units)
    words = f"static margin {margin}" + (f": {outline.why_unknown}" if outline.why_unknown else "")
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, TYPE) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    kept = lines[:MOST_LINES]
    if len(lines) > MOST_LINES:
        kept[-1] += " " + lines[MOST_LINES]
    return [fit(line, TYPE, room) for line in kept]


def _station(value: float | None, units: Units) -> str:
    return amount_text(Amount(value, "short_length"), units) if _known(value) else "UNKNOWN"


def _words(outline: Outline, units: Units) -> str:
    cg, cp = (_station(each, units) for each in (outline.cg_from_nose_m, outline.cp_from_nose_m))
    return (
        f"Balance point with the motor {cg} from the nose tip, centre of pressure {cp}, "
        f"static margin {amount_text(Amount(outline.margin_cal, 'calibers'), units)}."
    )
