"""The field from above: one entry's footprint, or the whole day's."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from reports.amounts import Standing
from reports.drawings.ground_map import GroundMap
from reports.drawings.map_frame import MapFrame, finite
from reports.drawings.map_key import line_item
from reports.drawings.outline import MANY_PIECES, simplified
from reports.figures import Units, rough
from reports.ground_data import Contour, FieldPlan, Footprint, NearestEdge, Path
from reports.labels import LabelPlacer
from reports.scene import XY, Area, Cut, Disc, Line, Look, Scene, Shape, box_of
from reports.sentences import MODE_WORDS, answer, compass
from reports.sheet_data import WindLayer
from reports.typeface import clip

PLANNED: tuple[tuple[float, Look], ...] = (  # for contours up to this share of the landings
    (0.60, Look(fill="accent", stroke="accent", width=0.8, opacity=0.30)),
    (0.96, Look(fill="accent", stroke="accent", width=1.4, opacity=0.12)),
    (1.00, Look(stroke="accent", width=0.9, dash=(3.0, 2.0))),
)
BALLISTIC = Look(stroke="stop", width=1.3, dash=(8.0, 2.5, 1.5, 2.5))
STANDING_LINES: dict[Standing, Look] = {
    "clear": Look(fill="clear", stroke="clear", width=0.7, opacity=0.05),
    "caution": Look(fill="caution", stroke="caution", width=1.1, dash=(5.0, 2.0), opacity=0.06),
    "stop": Look(fill="stop", stroke="stop", width=1.7, opacity=0.08),
    "unknown": Look(fill="unknown", stroke="unknown", width=1.3, dash=(1.5, 2.0), opacity=0.06),
}
THIN = 0.6  # line of a contour in very many pieces [pt]
HEART = 0.15  # of the map, the most that is kept free of names
DAY_SHARE = 0.95  # contour drawn for each entry of a day


@dataclass(frozen=True)
class DayFootprint:
    """One entry on the day's map."""

    entry_id: str
    standing: Standing
    footprint: Footprint


def field_map(
    plan: FieldPlan,
    footprints: tuple[Footprint, ...],
    wind: WindLayer | None,
    units: Units,
    width: float,
    height: float,
    pad: str = "",
    title: str = "Field map",
) -> Scene:
    """One entry: contours of the planned mode, the ballistic mode in a line of its own, the nearest edge."""
    footprints = tuple(replace(f, contours=simplified(f.contours, plan, width, height)) for f in footprints)
    planned = next((f for f in footprints if f.mode == "planned"), None)
    ballistic = next((f for f in footprints if f.mode == "no_deployment"), None)
    scene = Scene(width, height, title, answer(planned, units))
    items = [line_item(f"{c.share * 100:g} %", _planned_look(c)) for c in (planned.contours if planned else ())]
    far = _widest(ballistic)
    if far:
        items.append(line_item(f"{MODE_WORDS['no_deployment']}, {far.share * 100:g} %", BALLISTIC))
    contours = [*(planned.contours if planned else ()), *([far] if far else [])]
    ground = GroundMap(scene, plan, contours, items, units, pad)
    frame, placer = ground.frame, ground.placer
    shapes: list[Shape] = []
    for contour in sorted(planned.contours if planned else (), key=lambda c: -c.share):
        shapes.extend(_contour(contour, frame, _planned_look(contour), "planned"))
    if far:
        shapes.extend(_contour(far, frame, BALLISTIC, "ballistic"))
    edge = planned.nearest_edge if planned else None
    if planned and planned.contours:  # before any name: none may hide a small footprint
        _keep_heart_free(min(planned.contours, key=lambda c: c.share), frame, placer)
    ground.under(shapes)
    if planned and planned.landing and all(map(math.isfinite, planned.landing)):
        scene.add(*_landing(frame.point(planned.landing), frame))
    if edge:
        scene.add(*_call_out(edge, frame, placer, units))
    if far:
        scene.add(*_on_contour(far, "ballistic", frame, placer, "stop"))
    if planned is None or not planned.contours:
        words = placer.place("footprint UNKNOWN", _middle(frame), size=11.0, bold=True, role="unknown", centred=True)
        scene.add(*words)
    ground.over(wind)
    return scene


def day_map(
    plan: FieldPlan,
    entries: tuple[DayFootprint, ...],
    wind: WindLayer | None,
    units: Units,
    width: float,
    height: float,
    title: str = "Field map of the day",
) -> Scene:
    """All entries: the 95 % contour of each as planned, in the line of its standing, the worst ones named first."""
    shown = [(entry, _nearest_share(entry.footprint, DAY_SHARE)) for entry in entries]
    drawn = [(entry, simplified((contour,), plan, width, height)[0]) for entry, contour in shown if contour]
    missing = [entry.entry_id for entry, contour in shown if not contour]
    standings = [s for s in STANDING_LINES if any(entry.standing == s for entry, _ in drawn)]
    items = [line_item(f"{s}, {DAY_SHARE * 100:g} %", STANDING_LINES[s]) for s in standings]
    description = f"Contours of {len(drawn)} entries." + (f" Not known: {', '.join(missing)}." if missing else "")
    scene = Scene(width, height, title, description)
    warning = f"footprint UNKNOWN: {', '.join(missing)}" if missing else ""
    ground = GroundMap(scene, plan, [c for _, c in drawn], items, units, warning=warning)
    frame, placer = ground.frame, ground.placer
    shapes: list[Shape] = []
    for entry, contour in reversed(drawn):  # the worst lie on top
        shapes.extend(_contour(contour, frame, STANDING_LINES[entry.standing], entry.standing))
    ground.under(shapes)
    for entry, contour in drawn:
        scene.add(*_on_contour(contour, clip(entry.entry_id, 10), frame, placer, entry.standing))
    ground.over(wind)
    return scene


def _planned_look(contour: Contour) -> Look:
    return next((look for share, look in PLANNED if contour.share <= share), PLANNED[-1][1])


def _widest(footprint: Footprint | None) -> Contour | None:
    return max(footprint.contours, key=lambda c: c.share, default=None) if footprint else None


def _nearest_share(footprint: Footprint, share: float) -> Contour | None:
    return min(footprint.contours, key=lambda c: abs(c.share - share), default=None)


def _contour(contour: Contour, frame: MapFrame, look: Look, name: str) -> list[Shape]:
    rings = tuple(ring for ring in (frame.path(r) for r in contour.rings) if len(ring) > 2)
    if len(rings) >= MANY_PIECES:
        look = replace(look, width=min(look.width, THIN), dash=())
    return [Area(rings, look, f"contour contour-{name}", f"{contour.share * 100:g} % of landings")] if rings else []


def _on_contour(contour: Contour, text: str, frame: MapFrame, placer: LabelPlacer, role: Standing) -> list[Shape]:
    """The name of a contour beside its farthest visible points, wherever there is room first."""
    points = [p for ring in contour.rings for p in frame.path(ring) if frame.holds(p, 2.0)]
    if not points:
        return []
    ends = [min(points, key=lambda p: p[1]), max(points), min(points), max(points, key=lambda p: p[1])]
    for at in ends:
        shapes = placer.place(text, at, bold=True, role=role, name="contour-name", distances=(3.0, 8.0))
        if shapes:
            return shapes
    return []


def _middle(frame: MapFrame) -> XY:
    left, top, right, bottom = frame.box
    return (left + right) / 2, (top + bottom) / 2


def _landing(at: XY, frame: MapFrame) -> list[Shape]:
    if not frame.holds(at, 4.0):
        return []
    x, y = at
    look = Look(stroke="ink", width=1.3)
    return [
        Line(((x - 3.0, y - 3.0), (x + 3.0, y + 3.0)), look, "landing"),
        Line(((x - 3.0, y + 3.0), (x + 3.0, y - 3.0)), look, "landing"),
    ]


def _keep_heart_free(contour: Contour, frame: MapFrame, placer: LabelPlacer) -> None:
    """Names of zones stay off the middle of a footprint, unless it fills the map."""
    points = [p for ring in contour.rings for p in frame.path(ring) if frame.holds(p)]
    if points:
        left, top, right, bottom = box_of(points)
        if (right - left) * (bottom - top) < HEART * frame.box[2] * frame.box[3]:
            placer.keep_free((left, top, right, bottom))


def _call_out(edge: NearestEdge, frame: MapFrame, placer: LabelPlacer, units: Units) -> list[Shape]:
    """The shortest way from the contour to the edge, measured on the map."""
    ends: tuple[Path, Path] = (finite((edge.contour_point,)), finite((edge.boundary_point,)))
    if not (ends[0] and ends[1] and math.isfinite(edge.distance_m)):
        return []
    start, end = frame.point(ends[0][0]), frame.point(ends[1][0])
    distance = rough(abs(edge.distance_m), units)
    outside = edge.distance_m <= 0.0
    text = f"{distance} {'outside' if outside else 'to edge'}, {compass(edge.bearing_deg, short=True)}"
    role: Standing | str = "stop" if outside else "ink"
    look = Look(stroke="stop" if outside else "ink", width=1.2)
    line = Cut((frame.ring(),), (Line((start, end), look, "nearest-edge"), *_bars(start, end, look)), "map")
    halfway = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if not frame.holds(halfway):
        return [line]
    words = placer.place(text, halfway, size=8.5, bold=True, role=role, name="nearest-edge")  # type: ignore[arg-type]
    return [line, *words]


def _bars(start: XY, end: XY, look: Look) -> list[Shape]:
    """Short bars across both ends, as on a dimension line."""
    length = math.dist(start, end)
    if length < 1e-6:
        return [Disc(start, 2.0, look, "nearest-edge")]
    across = (-(end[1] - start[1]) / length * 3.0, (end[0] - start[0]) / length * 3.0)
    return [
        Line(((x - across[0], y - across[1]), (x + across[0], y + across[1])), look, "nearest-edge")
        for x, y in (start, end)
    ]
