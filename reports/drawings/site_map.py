"""The field with what is advised: the ground for the pads and the flight line; and the circle that a notice names."""

from __future__ import annotations

import math

from reports.amounts import Amount
from reports.drawings.axes import on_phone
from reports.drawings.ground_map import BOUNDARY, NAMING_ORDER, GroundMap, _zone_name
from reports.drawings.map_frame import HEAD, MapFrame, border, lay_out, north_arrow, scale_bar
from reports.drawings.map_key import line_item
from reports.figures import Units, amount_text
from reports.ground_data import FieldPlan, Path, Zone
from reports.scene import XY, Area, Box, Cut, Disc, Label, Line, Look, Scene, Shape, rectangle
from reports.sizing_data import SitePlan
from reports.typeface import fit
from reports.typeface import width as text_width

PAD_AREA = Look(fill="clear", stroke="clear", width=1.4, opacity=0.22)
FLIGHT_LINE = Look(fill="accent", stroke="accent", width=2.0, opacity=0.35)
NOTICE = Look(fill="caution", stroke="caution", width=1.4, dash=(9.0, 3.0, 2.0, 3.0), opacity=0.06)
CORNERS = 96
FOOT = 14.0
SHORT_TITLE = "Pads and flight line"  # on a phone


def site_map(plan: FieldPlan, site: SitePlan, units: Units, width: float, height: float) -> Scene:
    """The field map. Where nothing is advised, it is the field as it stands, and says so."""
    title = "Where pads and flight line should stand" if site.pad else "The field as it stands: no place was found"
    scene = Scene(width, height, title, _words(site))
    items = []
    if site.pad is not None:
        items = [line_item("best ground for pads", PAD_AREA), line_item("flight line advised", FLIGHT_LINE)]
    ground = _SiteGround(scene, plan, [], items, units)
    frame = ground.frame
    shapes: list[Shape] = []
    rings = tuple(ring for ring in (frame.path(each) for each in site.area) if len(ring) > 2)
    if rings:
        shapes.append(Area(rings, PAD_AREA, "pad-area", "best ground for pads"))
    line = frame.path(site.line) if len(site.line) > 2 else ()
    if line:
        shapes.append(Area((line,), FLIGHT_LINE, "flight-line", "flight line advised"))
    if site.pad is not None and all(map(math.isfinite, site.pad)):
        (x, y), r = frame.point(site.pad), 5.0
        ground.placer.keep_free((x - r, y - r, x + r, y + r))
    if line:
        ground.placer.keep_free(_box(line))
    ground.under(shapes)
    if site.pad is not None and all(map(math.isfinite, site.pad)):
        at = frame.point(site.pad)
        scene.add(Disc(at, 4.2, Look(stroke="clear", width=1.8), "best-pad"))
        scene.add(Disc(at, 1.4, Look(fill="clear"), "best-pad"))
        scene.add(*ground.placer.place("best place for pads", at, bold=True, role="clear", name="best-pad"))
    if line:
        told = "flight line advised"
        scene.add(
            *ground.placer.place(
                told, _middle(line), bold=True, role="accent", name="flight-line", beside=_box(line),
                may_cross=not on_phone(width),
            )
        )  # fmt: skip
    ground.finish(title)
    return scene


def notice_map(plan: FieldPlan, site: SitePlan, units: Units, width: float, height: float) -> Scene:
    """The circle of affected ground with the field in it, to scale."""
    circle = _circle(site)
    title = "Affected ground"
    if not circle:
        scene = Scene(width, height, title, "The affected ground is not known.")
        scene.add(Label("affected ground UNKNOWN", (0.0, HEAD - 10.0), 9.0, bold=True, role="unknown"))
        return scene
    reach = amount_text(Amount(site.radius_m, "length"), units, 4)
    scene = Scene(width, height, title, f"The affected ground reaches {reach} from the middle of the pads.")
    frame = lay_out((0.5, HEAD, width - 0.5, height - FOOT), circle, ())
    shapes: list[Shape] = [Area((frame.path(circle),), NOTICE, "affected")]
    rings = tuple(ring for ring in (frame.path(each) for each in plan.boundary) if len(ring) > 2)
    shapes.append(Area(rings, BOUNDARY, "boundary", f"boundary of {plan.name}"))
    centre = frame.point(site.centre or (0.0, 0.0))
    edge = (centre[0], centre[1] - site.radius_m * frame.units_per_m if site.radius_m else centre[1])
    shapes.append(Line((centre, edge), Look(stroke="caution", width=0.8), "radius"))
    shapes.append(Disc(centre, 2.0, Look(fill="caution"), "centre"))
    scene.add(Cut((frame.ring(),), tuple(shapes), "map"))
    said = Label(reach, (centre[0] + 4.0, 0.5 * (centre[1] + edge[1])), 8.0, bold=True, role="caution")
    scene.add(Area((rectangle(said.box(0.5)),), Look(fill="paper", opacity=0.85), "slip"), said)
    _name_field(scene, frame, plan)
    scene.add(border(frame), *scale_bar(frame, units, (1.0, height - 2.0), 0.3 * width))
    scene.add(*north_arrow((width - 9.5, HEAD - 14.0)))
    scene.add(Label(fit(title, 9.0, width - 40.0, True), (0.5, HEAD - 10.0), 9.0, bold=True))
    return scene


class _SiteGround(GroundMap):
    """A map of a season, which has no wind of its own: the strip above carries a title instead."""

    def head_tall(self) -> float:
        return HEAD

    def finish(self, title: str) -> None:
        unnamed: list[Zone] = []
        for zone in sorted(self.plan.zones, key=lambda each: NAMING_ORDER.get(each.kind, 9)):
            label = _zone_name(zone, self.frame, self.placer)
            self.scene.add(*label)
            if not label:
                unnamed.append(zone)
        left, top, right, _ = self.frame.box
        self.scene.add(*self.warning, border(self.frame), *north_arrow((right - 9.0, top - 14.0)))
        room = right - left - 40.0
        words = title if text_width(title, 9.0, True) <= room else SHORT_TITLE
        self.scene.add(Label(fit(words, 9.0, room, True), (left, top - 10.0), 9.0, bold=True))
        self.key(unnamed)


def _name_field(scene: Scene, frame: MapFrame, plan: FieldPlan) -> None:
    """The field's name under it."""
    points = [frame.point(p) for ring in plan.boundary for p in ring]
    if points:
        low = max(y for _, y in points)
        middle = 0.5 * (min(x for x, _ in points) + max(x for x, _ in points))
        scene.add(Label(plan.name, (middle, low + 9.0), 7.5, "middle", name="field"))


def _middle(points: tuple[XY, ...]) -> XY:
    return sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)


def _box(points: tuple[XY, ...]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _circle(site: SitePlan) -> Path:
    if site.centre is None or site.radius_m is None or not math.isfinite(site.radius_m):
        return ()
    x, y = site.centre
    steps = (2.0 * math.pi * number / CORNERS for number in range(CORNERS))
    return tuple((x + site.radius_m * math.sin(angle), y + site.radius_m * math.cos(angle)) for angle in steps)


def _words(site: SitePlan) -> str:
    if site.pad is None:
        return "No place for the pads was found that keeps every distance."
    return "Marked are the best ground for pads and the flight line that goes with it."
