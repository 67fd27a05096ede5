"""The landing point against the setting: a ring for each tilt, a point for each bearing, on the ground it falls on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.amounts import Amount
from reports.drawings.axes import TYPE, empty
from reports.drawings.map_frame import MapFrame, border, finite, head, head_tall, lay_out, scale_bar
from reports.drawings.standing_mark import mark
from reports.drawings.zones import draw_zone
from reports.figures import Units, amount_text
from reports.ground_data import FieldPlan, Point
from reports.labels import LabelPlacer
from reports.scene import Area, Cut, Disc, Label, Line, Look, Scene, Shape
from reports.sheet_data import WindLayer
from reports.theme import Role
from reports.typeface import lines_of
from reports.typeface import width as text_width

KEY_ROW = 12.0
PEOPLE_UNKNOWN = "people UNKNOWN, none drawn"
RING_ROOM = 14.0  # between the names of two rings


@dataclass(frozen=True)
class AimPoint:
    """One setting and the mean landing point that it gives; `reaches_people` when a flight with nothing open may;
    None where nobody has drawn the people."""

    tilt_deg: float
    azimuth_deg: float
    at: Point
    reaches_people: bool | None = False


def aim_plot(
    plan: FieldPlan, tried: tuple[AimPoint, ...], now: AimPoint, found: AimPoint, worst: AimPoint, target: Point,
    wind: WindLayer | None, units: Units, width: float, height: float,
) -> Scene:  # fmt: skip
    """All settings tried on the ground around the target. Points are in the frame of the plan. [m]"""
    scene = Scene(width, height, "Landing point by setting of the guide")
    points = finite(each.at for each in tried)
    if not points or not finite((now.at, found.at, worst.at, target)):
        scene.description = "No setting could be flown."
        scene.add(*empty((0.5, 0.5, width - 0.5, height - 0.5), "Landings UNKNOWN", "no setting could be flown"))
        return scene
    unknown = any(each.reaches_people is None for each in tried)
    key = _key(width, unknown)
    box = (0.5, head_tall(width), width - 0.5, height - 16.0 - KEY_ROW * len(key))
    frame = lay_out(box, [*points, now.at, found.at, worst.at, target], [])
    placer = LabelPlacer(box)
    for zone in plan.zones:
        scene.add(*draw_zone(zone, frame))
    ground: list[Shape] = [
        Area((ring,), Look(stroke="ink", width=1.4), "boundary", f"boundary of {plan.name}")
        for ring in (frame.path(path) for path in plan.boundary) if len(ring) > 2
    ]  # fmt: skip
    scene.add(Cut((frame.ring(),), (*ground, *_rings(tried, frame)), "map"))
    for each in tried:
        scene.add(*_point(each, frame))
    scene.add(*_marks(now, found, worst, target, frame))
    for point in (found.at, now.at, worst.at, target):
        x, y = frame.point(point)
        placer.keep_free((x - 5.5, y - 5.5, x + 5.5, y + 5.5))
    called: tuple[tuple[str, AimPoint, Role], ...] = (
        ("found", found, "accent"), ("not this", worst, "stop"), ("now", now, "ink"),
    )  # fmt: skip
    for name, each, role in called:
        text = f"{name}: {_said(each)}"
        scene.add(*placer.place(text, frame.point(each.at), bold=name != "now", role=role, name="setting"))
    scene.add(*_ring_names(tried, frame, placer))
    scene.add(border(frame))
    head(scene, frame, wind, units)
    foot = box[3] + 12.0
    scene.add(*scale_bar(frame, units, (4.0, foot), 0.3 * width))
    for number, line in enumerate(key, start=1):
        scene.add(Label(line, (0.5, foot + KEY_ROW * number), TYPE, role="soft"))
    away = [_away(each.at, target, units) for each in (found, now, worst)]
    scene.description = (
        f"The guide at {_said(found)} puts the mean landing {away[0]} from the target; "
        f"now, at {_said(now)}, {away[1]}; not to be used is {_said(worst)}, {away[2]}."
        + (f" {PEOPLE_UNKNOWN[:1].upper() + PEOPLE_UNKNOWN[1:]}." if unknown else "")
    )
    return scene


def _said(each: AimPoint) -> str:
    return "upright" if each.tilt_deg == 0.0 else f"{each.tilt_deg:g}° toward {each.azimuth_deg:g}°"


def _away(at: Point, target: Point, units: Units) -> str:
    return amount_text(Amount(math.dist(at, target), "length"), units)


def _by_tilt(tried: tuple[AimPoint, ...]) -> dict[float, list[AimPoint]]:
    rings: dict[float, list[AimPoint]] = {}
    for each in sorted(tried, key=lambda point: (point.tilt_deg, point.azimuth_deg)):
        rings.setdefault(each.tilt_deg, []).append(each)
    return rings


def _rings(tried: tuple[AimPoint, ...], frame: MapFrame) -> list[Shape]:
    """Landings of one tilt, joined bearing by bearing."""
    return [
        Area((path,), Look(stroke="rule", width=0.8), "ring", f"tilt {tilt:g}°")
        for tilt, ring in _by_tilt(tried).items()
        if len(path := frame.path(each.at for each in ring)) > 2
    ]


def _ring_names(tried: tuple[AimPoint, ...], frame: MapFrame, placer: LabelPlacer) -> list[Shape]:
    """Each ring's tilt at its northernmost point, where there is room."""
    shapes: list[Shape] = []
    for tilt, ring in _by_tilt(tried).items():
        if len(ring) > 2:
            top = min((frame.point(each.at) for each in ring), key=lambda at: at[1])
            shapes += placer.place(f"{tilt:g}°", top, role="soft", name="ring", distances=(5.0, 9.0))
    return shapes


def _point(each: AimPoint, frame: MapFrame) -> list[Shape]:
    x, y = frame.point(each.at)
    if each.reaches_people is None:
        return [Disc((x, y), 1.7, Look(fill="paper", stroke="unknown", width=0.9), "landing")]
    if not each.reaches_people:
        return [Disc((x, y), 1.5, Look(fill="ink"), "landing")]
    ink = Look(stroke="stop", width=1.1)
    return [
        Line(((x - 2.4, y - 2.4), (x + 2.4, y + 2.4)), ink, "reaches"),
        Line(((x - 2.4, y + 2.4), (x + 2.4, y - 2.4)), ink, "reaches"),
    ]


def _marks(now: AimPoint, found: AimPoint, worst: AimPoint, target: Point, frame: MapFrame) -> list[Shape]:
    x, y = frame.point(target)
    ink = Look(stroke="ink", width=1.0)
    cross: list[Shape] = [
        Line(((x - 6.0, y), (x + 6.0, y)), ink, "target"),
        Line(((x, y - 6.0), (x, y + 6.0)), ink, "target"),
    ]
    start, end = frame.point(now.at), frame.point(found.at)
    way: list[Shape] = []
    if math.dist(start, end) > 8.0:
        way = [Line((start, end), Look(stroke="accent", width=0.9, dash=(3.0, 2.0)), "way")]
    return [
        *cross,
        *way,
        Disc(start, 3.6, Look(fill="paper", stroke="ink", width=1.4), "now"),
        Disc(end, 3.6, Look(fill="accent", stroke="paper", width=0.8), "found"),
        *mark("stop", frame.point(worst.at), 7.0),
    ]


def _key(width: float, unknown: bool) -> list[str]:
    """What the signs mean, in as many lines as they need."""
    lines = [""]
    people = PEOPLE_UNKNOWN if unknown else "cross: with nothing open it may reach people"
    for item in (
        f"{'hollow ' if unknown else ''}dot: mean landing of a setting", "ring: one tilt", people, "plus: the target",
    ):  # fmt: skip
        longer = f"{lines[-1]}; {item}" if lines[-1] else item
        if text_width(longer, TYPE) <= width - 1.0:
            lines[-1] = longer
        else:
            lines = [*filter(None, lines), *lines_of(item, TYPE, width - 1.0)]
    return lines
