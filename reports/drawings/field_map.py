"""The field from above: one entry's footprint, or the whole day's."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.amounts import Standing
from reports.drawings.map_frame import HEAD, MapFrame, border, finite, head, lay_out
from reports.drawings.map_key import ROW, KeyItem, draw_key, line_item, rows_needed, zone_items
from reports.drawings.zones import draw_zone, middle
from reports.figures import Units, amount_text, rough
from reports.ground_data import Contour, FieldPlan, Footprint, NearestEdge, Path, Zone
from reports.labels import LabelPlacer
from reports.scene import XY, Area, Cut, Disc, Line, Look, Scene, Shape
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
BOUNDARY = Look(stroke="ink", width=2.0)
TOGETHER = 9.0  # pads nearer than this share one label
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
    planned = next((f for f in footprints if f.mode == "planned"), None)
    ballistic = next((f for f in footprints if f.mode == "no_deployment"), None)
    scene = Scene(width, height, title, answer(planned, units))
    items = [line_item(f"{c.share * 100:g} %", _planned_look(c)) for c in (planned.contours if planned else ())]
    far = _widest(ballistic)
    if far:
        items.append(line_item(f"{MODE_WORDS['no_deployment']}, {far.share * 100:g} %", BALLISTIC))
    contours = [*(planned.contours if planned else ()), *([far] if far else [])]
    frame = _frame(plan, contours, items, width, height)
    shapes: list[Shape] = []
    for contour in sorted(planned.contours if planned else (), key=lambda c: -c.share):
        shapes.extend(_contour(contour, frame, _planned_look(contour), "planned"))
    if far:
        shapes.extend(_contour(far, frame, BALLISTIC, "ballistic"))
    edge = planned.nearest_edge if planned else None
    placer = _ground(scene, plan, frame, shapes, pad)
    if planned and planned.landing and all(map(math.isfinite, planned.landing)):
        scene.add(*_landing(frame.point(planned.landing), frame))
    if edge:
        scene.add(*_call_out(edge, frame, placer, units))
    if far:
        scene.add(*_on_contour(far, "ballistic", frame, placer, "stop"))
    if planned is None or not planned.contours:
        words = placer.place("footprint UNKNOWN", _middle(frame), size=11.0, bold=True, role="unknown", centred=True)
        scene.add(*words)
    _finish(scene, plan, frame, placer, items, wind, units, contours)
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
    drawn = [(entry, contour) for entry, contour in shown if contour]
    missing = [entry.entry_id for entry, contour in shown if not contour]
    standings = [s for s in STANDING_LINES if any(entry.standing == s for entry, _ in drawn)]
    items = [line_item(f"{s}, {DAY_SHARE * 100:g} %", STANDING_LINES[s]) for s in standings]
    description = f"Contours of {len(drawn)} entries." + (f" Not known: {', '.join(missing)}." if missing else "")
    scene = Scene(width, height, title, description)
    frame = _frame(plan, [c for _, c in drawn], items, width, height)
    shapes: list[Shape] = []
    for entry, contour in reversed(drawn):  # the worst lie on top
        shapes.extend(_contour(contour, frame, STANDING_LINES[entry.standing], entry.standing))
    placer = _ground(scene, plan, frame, shapes, "")
    for entry, contour in drawn:
        scene.add(*_on_contour(contour, clip(entry.entry_id, 10), frame, placer, entry.standing))
    if missing:
        text = clip(f"footprint UNKNOWN: {', '.join(missing)}", 60)
        at = (frame.box[0] + 6.0, frame.box[3] - 10.0)
        scene.add(*placer.place(text, at, bold=True, role="unknown"))
    _finish(scene, plan, frame, placer, items, wind, units, [c for _, c in drawn])
    return scene


def _frame(plan: FieldPlan, contours: list[Contour], items: list[KeyItem], width: float, height: float) -> MapFrame:
    all_items = [*items, *zone_items(plan.zones, list(plan.zones)), line_item("boundary", BOUNDARY)]
    foot = 15.0 + ROW * rows_needed(all_items, width - 1.0)
    box = (0.5, HEAD, width - 0.5, max(height - foot, HEAD + 20.0))
    field = [p for ring in plan.boundary for p in ring] + [pad.at for pad in plan.pads]
    return lay_out(box, field, [p for contour in contours for ring in contour.rings for p in ring])


def _ground(scene: Scene, plan: FieldPlan, frame: MapFrame, over: list[Shape], pad: str) -> LabelPlacer:
    """Zones, then contours, then the boundary and the pads on top; pads are named first."""
    for zone in plan.zones:
        scene.add(*draw_zone(zone, frame))
    rings = tuple(ring for ring in (frame.path(r) for r in plan.boundary) if len(ring) > 2)
    if over:
        scene.add(Cut((frame.ring(),), tuple(over), "contours"))
    if rings:
        scene.add(Cut((frame.ring(),), (Area(rings, BOUNDARY, "boundary", f"boundary of {plan.name}"),), "map"))
    placer = LabelPlacer(frame.box)
    for names, at in _pads(plan, frame):
        chosen = pad in names and bool(pad)
        shapes = _pad(at, chosen)
        scene.add(*shapes)
        placer.keep_free((at[0] - 4.0, at[1] - 4.0, at[0] + 4.0, at[1] + 4.0))
    for names, at in _pads(plan, frame):
        text = f"pad {pad}" if pad in names and pad else f"{'pads' if len(names) > 1 else 'pad'} {', '.join(names)}"
        scene.add(*placer.place(clip(text, 28), at, bold=pad in names and bool(pad), name="pad"))
    return placer


def _finish(
    scene: Scene,
    plan: FieldPlan,
    frame: MapFrame,
    placer: LabelPlacer,
    items: list[KeyItem],
    wind: WindLayer | None,
    units: Units,
    contours: list[Contour],
) -> None:
    unnamed: list[Zone] = []
    order = {"people": 0, "keep_out": 1, "building": 2, "parking": 3}
    for zone in sorted(plan.zones, key=lambda z: order.get(z.kind, 4)):
        at = middle(zone, frame)
        text = clip(zone.name, 26) + (f" ({zone.people})" if zone.people else "")
        label = placer.place(text, at, centred=True, name="zone-name", bold=zone.kind == "people") if at else []
        scene.add(*label)
        if not label:
            unnamed.append(zone)
    if any(not frame.holds(frame.point(p)) for c in contours for ring in c.rings for p in finite(ring)):
        left, top, _, _ = frame.box
        scene.add(*placer.place("contours run on beyond this map", (left + 2.0, top + 8.0), role="stop", bold=True))
    scene.add(border(frame))
    head(scene, frame, wind, units)
    all_items = [*items, line_item("boundary", BOUNDARY), *zone_items(plan.zones, unnamed)]
    draw_key(scene, frame, all_items, units)


def _planned_look(contour: Contour) -> Look:
    return next((look for share, look in PLANNED if contour.share <= share), PLANNED[-1][1])


def _widest(footprint: Footprint | None) -> Contour | None:
    return max(footprint.contours, key=lambda c: c.share, default=None) if footprint else None


def _nearest_share(footprint: Footprint, share: float) -> Contour | None:
    return min(footprint.contours, key=lambda c: abs(c.share - share), default=None)


def _contour(contour: Contour, frame: MapFrame, look: Look, name: str) -> list[Shape]:
    rings = tuple(ring for ring in (frame.path(r) for r in contour.rings) if len(ring) > 2)
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


def _pads(plan: FieldPlan, frame: MapFrame) -> list[tuple[list[str], XY]]:
    """Pads by place; those that would sit on one another at this scale are named together."""
    groups: list[tuple[list[str], XY]] = []
    for pad in plan.pads:
        at = frame.path((pad.at,))
        if not at or not frame.holds(at[0], 4.0):
            continue
        near = next((names for names, other in groups if math.dist(other, at[0]) < TOGETHER), None)
        if near is None:
            groups.append(([pad.name], at[0]))
        else:
            near.append(pad.name)
    return groups


def _pad(at: XY, chosen: bool) -> list[Shape]:
    x, y = at
    size = 4.5 if chosen else 3.2
    triangle = ((x, y - size), (x + size * 0.87, y + size / 2), (x - size * 0.87, y + size / 2))
    return [Area((triangle,), Look(fill="ink" if chosen else "paper", stroke="ink", width=1.1), "pad")]


def _landing(at: XY, frame: MapFrame) -> list[Shape]:
    if not frame.holds(at, 4.0):
        return []
    x, y = at
    look = Look(stroke="ink", width=1.3)
    return [
        Line(((x - 3.0, y - 3.0), (x + 3.0, y + 3.0)), look, "landing"),
        Line(((x - 3.0, y + 3.0), (x + 3.0, y - 3.0)), look, "landing"),
    ]


def _call_out(edge: NearestEdge, frame: MapFrame, placer: LabelPlacer, units: Units) -> list[Shape]:
    """The shortest way from the contour to the edge, measured on the map."""
    ends: tuple[Path, Path] = (finite((edge.contour_point,)), finite((edge.boundary_point,)))
    if not (ends[0] and ends[1] and math.isfinite(edge.distance_m)):
        return []
    start, end = frame.point(ends[0][0]), frame.point(ends[1][0])
    distance = amount_text(rough(abs(edge.distance_m)), units)
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
