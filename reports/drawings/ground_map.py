"""The ground under every field map: boundary, zones, pads, and the words around them."""

from __future__ import annotations

import math

from reports.drawings.axes import on_phone
from reports.drawings.map_frame import TYPE, MapFrame, border, finite, head, head_tall, lay_out
from reports.drawings.map_key import FIRST_ROW, ROW, KeyItem, draw_key, line_item, rows_needed, zone_items
from reports.drawings.zones import draw_zone, middle, seen_box
from reports.figures import Units
from reports.ground_data import Contour, FieldPlan, Zone
from reports.labels import LabelPlacer
from reports.scene import ASCENT, XY, Area, Cut, Label, Look, Scene, Shape, rectangle
from reports.sheet_data import WindLayer
from reports.typeface import clip, fit
from reports.typeface import width as text_width

BOUNDARY = Look(stroke="ink", width=2.0)
GRAVE = ("people", "keep_out")
TOGETHER = 9.0  # pads nearer than this share one label
NAMING_ORDER: dict[str, int] = {"people": 0, "keep_out": 1, "building": 2, "parking": 3}


class GroundMap:
    """Lays out a map, then draws it from the ground up: `under`, the caller's marks, `over`."""

    def __init__(
        self,
        scene: Scene,
        plan: FieldPlan,
        contours: list[Contour],
        items: list[KeyItem],
        units: Units,
        pad: str = "",
        warning: str = "",
    ) -> None:
        self.scene, self.plan, self.units, self.pad = scene, plan, units, pad
        self.items = [*items, line_item("boundary", BOUNDARY)]
        self.frame = self._frame(contours)
        self.placer = LabelPlacer(self.frame.box)
        outside = any(not self.frame.holds(self.frame.point(p)) for c in contours for r in c.rings for p in finite(r))
        warnings = [text for text in (warning, "contours run on beyond this map" if outside else "") if text]
        self.warning = self._warning("; ".join(warnings))

    def _frame(self, contours: list[Contour]) -> MapFrame:
        width, height = self.scene.width, self.scene.height
        rows = rows_needed([*self.items, *zone_items(self.plan.zones, [])], width - 1.0)
        top = self.head_tall()
        box = (0.5, top, width - 0.5, max(height - FIRST_ROW - ROW * rows, top + 20.0))
        field = [p for ring in self.plan.boundary for p in ring] + [pad.at for pad in self.plan.pads]
        return lay_out(box, field, [p for contour in contours for ring in contour.rings for p in ring])

    def head_tall(self) -> float:
        """The strip above the map."""
        return head_tall(self.scene.width)

    def _warning(self, text: str) -> list[Shape]:
        """A slip along the foot of the map, kept free before anything else is named."""
        if not text:
            return []
        left, _, right, bottom = self.frame.box
        text = fit(text, TYPE, right - left - 8.0, True)
        box = (left, bottom - 12.0, left + text_width(text, TYPE, True) + 8.0, bottom)
        self.placer.keep_free(box)
        at = (left + 4.0, bottom - 6.0 - TYPE / 2 + ASCENT * TYPE)
        words = Label(text, at, TYPE, bold=True, role="unknown", name="warning")
        return [Area((rectangle(box),), Look(fill="paper"), "slip"), words]

    def under(self, contours: list[Shape]) -> None:
        """Zones, then contours, then the boundary and the pads on top; pads are named first."""
        frame, plan = self.frame, self.plan
        for zone in plan.zones:
            self.scene.add(*draw_zone(zone, frame))
        if contours:
            self.scene.add(Cut((frame.ring(),), tuple(contours), "contours"))
        rings = tuple(ring for ring in (frame.path(r) for r in plan.boundary) if len(ring) > 2)
        if rings:
            self.scene.add(
                Cut((frame.ring(),), (Area(rings, BOUNDARY, "boundary", f"boundary of {plan.name}"),), "map")
            )
        for zone in plan.zones:
            if zone.kind == "people" and zone.shape == "area" and middle(zone, frame):
                self.placer.keep_free(seen_box(zone, frame))
        self._pads()

    def _pads(self) -> None:
        """Each pad; where one pad is meant, that one larger, filled and the only one named."""
        groups = _pad_groups(self.plan, self.frame)
        for names, at in groups:
            self.scene.add(_pad(at, bool(self.pad) and self.pad in names))
            self.placer.keep_free((at[0] - 4.0, at[1] - 4.0, at[0] + 4.0, at[1] + 4.0))
        for names, at in groups:
            if self.pad and self.pad not in names:
                continue
            shown = [self.pad] if self.pad else names
            text = f"{'pads' if len(shown) > 1 else 'pad'} {', '.join(shown)}"
            self.scene.add(*self.placer.place(clip(text, 28), at, bold=bool(self.pad), name="pad"))

    def over(self, wind: WindLayer | None) -> None:
        """Names of zones, warnings, border, the strip above and the key below."""
        unnamed: list[Zone] = []
        for zone in sorted(self.plan.zones, key=lambda z: NAMING_ORDER.get(z.kind, 9)):
            label = _zone_name(zone, self.frame, self.placer)
            self.scene.add(*label)
            if not label:
                unnamed.append(zone)
        self.scene.add(*self.warning, border(self.frame))
        head(self.scene, self.frame, wind, self.units)
        self.key(unnamed)

    def key(self, unnamed: list[Zone]) -> None:
        """The key, with the names that found no room on the map where it needs no further line for them.

        On a phone, where few names find room, it grows by what it takes to name people and ground to keep out of.
        """
        wide = self.frame.box[2] - self.frame.box[0]
        grave = [zone for zone in unnamed if zone.kind in GRAVE]
        every, few, bare = ([*self.items, *zone_items(self.plan.zones, names)] for names in (unnamed, grave, []))
        room = rows_needed(bare, wide)
        items = next((each for each in (every, few) if rows_needed(each, wide) <= room), bare)
        if items is bare and on_phone(self.scene.width):
            items = few
            self.scene.height += ROW * (rows_needed(few, wide) - room)
        draw_key(self.scene, self.frame, items, self.units)


def _zone_name(zone: Zone, frame: MapFrame, placer: LabelPlacer) -> list[Shape]:
    """The name over its zone where it fits into it, else beside it, so that no name hides what it names."""
    at = middle(zone, frame)
    if at is None:
        return []
    text = clip(zone.name, 26) + (f" ({zone.people})" if zone.people else "")
    bold = zone.kind == "people"
    may_cross = not on_phone(frame.box[2])  # the key names it instead
    if zone.shape != "area":
        return placer.place(text, at, name="zone-name", bold=bold, may_cross=may_cross)
    box = seen_box(zone, frame)
    roomy = box[2] - box[0] > 1.25 * text_width(text, TYPE, bold) and box[3] - box[1] > 2.4 * TYPE
    if roomy:
        return placer.place(text, at, centred=True, name="zone-name", bold=bold, may_cross=may_cross)
    distances = (2.5, 7.0, 9.0, 16.0)
    return placer.place(text, at, beside=box, name="zone-name", bold=bold, distances=distances, may_cross=may_cross)


def _pad_groups(plan: FieldPlan, frame: MapFrame) -> list[tuple[list[str], XY]]:
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


def _pad(at: XY, chosen: bool) -> Shape:
    x, y = at
    size = 4.5 if chosen else 3.2
    triangle = ((x, y - size), (x + size * 0.87, y + size / 2), (x - size * 0.87, y + size / 2))
    return Area((triangle,), Look(fill="ink" if chosen else "paper", stroke="ink", width=1.1), "pad")
