"""Pictures for pages, as SVG: drawn by the code that draws them on the sheet, from the same values.

Each is one `<svg>` element without styles of its own; `picture_styles()` gives a page the colours once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Literal, get_args

import shapely

from reports.amounts import Standing
from reports.drawings.field_map import DayFootprint, day_map, field_map
from reports.drawings.height_time import height_time
from reports.drawings.standing_mark import mark
from reports.drawings.wind_profile import wind_profile
from reports.ground_data import FieldPlan, Footprint, Path
from reports.scene import Scene
from reports.sheet_data import EntryPage, RangeSheet, WindLayer
from reports.svg import style_sheet, write_svg
from reports.theme import DARK, LIGHT
from service.models.assessment import Assessment, DayAssessment
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.finding import WORST_FIRST
from service.planning.ground import ground_of
from service.planning.sheet import field_plan, range_sheet

Units = Literal["si", "us"]
Size = tuple[float, float]

WIDE: Size = (520.0, 400.0)  # shown some 1.7 times as large on a laptop
NARROW: Size = (162.0, 240.0)  # on a phone 390 px wide shown 2.2 times as large: letters of 16 px and more
PLOT_WIDE: Size = (520.0, 220.0)
PLOT_NARROW: Size = (162.0, 190.0)
# Content policies forbid style attributes; pages set tabular figures for the class rh-picture instead.
_STYLE_ATTRIBUTE = ' style="font-variant-numeric:tabular-nums"'


def entry_sheet(day: LaunchDay, assessment: Assessment, conditions: Conditions | None = None) -> RangeSheet:
    """One entry as the sheet would print it: what a page and its pictures are drawn from.

    Parameters
    ----------
    day, assessment
        The document that the assessment was made from, and the assessment.
    conditions : Conditions, optional
        Those assessed, when not the day's current ones.
    """
    weather = conditions or day.conditions
    alone = DayAssessment(
        day=day.name,
        date=day.date.isoformat(),
        document="0" * 64,
        engine=assessment.engine,
        conditions_at=assessment.conditions_at,
        standings={each: int(each == assessment.standing) for each in WORST_FIRST},
        assessments=(assessment,),
    )
    return range_sheet(day, alone, made_at=datetime.now(UTC), age_min=None, conditions=weather)


def entry_map(sheet: RangeSheet, units: Units, size: Size = WIDE, name: str = "entry-map") -> str:
    """The field with one entry's contours."""
    page = _page(sheet)
    footprints = _thinned(page.footprints, sheet.field, max(size))
    wind, title = _surface_wind(sheet.conditions.wind), f"Where {page.rocket} may come down"
    scene = field_map(sheet.field, footprints, wind, units, *size, page.pad, title)
    return svg_text(scene, name)


def entry_plot(sheet: RangeSheet, units: Units, size: Size = PLOT_WIDE, name: str = "height-time") -> str:
    """Height against time of one entry's nominal flight, with the ceiling."""
    page = _page(sheet)
    ceiling_m = sheet.ceiling.agl_m if sheet.ceiling else None
    return svg_text(height_time(page.flight, ceiling_m, units, *size, page.why_no_flight), name)


def wind_picture(weather: Conditions, units: Units, size: Size = PLOT_WIDE, name: str = "wind") -> str:
    """The wind by height."""
    return svg_text(wind_profile(_layers(weather), units, *size), name)


def day_picture(
    day: LaunchDay, units: Units, size: Size = WIDE, name: str = "day-map", assessments: Sequence[Assessment] = ()
) -> str:
    """The field with every zone and pad; with assessments, each entry's contour in the line of its standing."""
    plan, footprints = field_plan(day, ground_of(day)), []
    for each in assessments:
        page = _page(entry_sheet(day, each))
        planned = page.footprint("planned")
        if planned is not None:
            (thinned,) = _thinned((planned,), plan, max(size))
            footprints.append(DayFootprint(page.entry_id, page.standing, thinned))
    wind = _surface_wind(_layers(day.conditions))
    return svg_text(day_map(plan, tuple(footprints), wind, units, *size, title=f"Map of {day.field.name}"), name)


def standing_shapes() -> dict[str, str]:
    """The four shapes of the standings, each an SVG that says nothing by itself: the word stands before it."""
    return {standing: _shape(standing) for standing in get_args(Standing)}


def picture_styles() -> str:
    """CSS: the colours by role as variables, for light and dark, and the pictures' own rules."""
    light = "".join(f"--rh-{role}:{colour};" for role, colour in LIGHT.items())
    dark = "".join(f"--rh-{role}:{colour};" for role, colour in DARK.items())
    return (
        f":root{{color-scheme:light dark;{light}}}"
        f"@media (prefers-color-scheme:dark){{:root{{{dark}}}}}@media print{{:root{{color-scheme:light;{light}}}}}"
        f"{style_sheet()}.rh-picture{{font-variant-numeric:tabular-nums;width:100%;height:auto;display:block}}"
    )


def _shape(standing: Standing) -> str:
    scene = Scene(16.0, 16.0, "")
    scene.add(*mark(standing, (8.0, 8.0), 15.0))
    drawn = write_svg(scene, standing, standalone=False).split("</desc>", 1)[1]
    return f'<svg class="mark" viewBox="0 0 16 16" aria-hidden="true" focusable="false">{drawn}'


def svg_text(scene: Scene, name: str) -> str:
    """A scene as one element, as a page with a strict content policy can take it."""
    return write_svg(scene, name, standalone=False).replace(_STYLE_ATTRIBUTE, "", 1)


def _page(sheet: RangeSheet) -> EntryPage:
    return sheet.entries[0]


def _thinned(footprints: Sequence[Footprint], plan: FieldPlan, points: float) -> tuple[Footprint, ...]:
    """Contours without the points that could not be told apart on a picture this large: a tenth of the bytes."""
    east, north = zip(*(point for ring in plan.boundary for point in ring), strict=True)
    across_m = max(max(east) - min(east), max(north) - min(north))
    tolerance_m = 0.3 * across_m / points

    def thin(ring: Path) -> Path:
        line = shapely.LineString([*ring, ring[0]]).simplify(tolerance_m)
        return tuple((float(x), float(y)) for x, y in line.coords)

    return tuple(
        replace(each, contours=tuple(replace(c, rings=tuple(map(thin, c.rings))) for c in each.contours))
        for each in footprints
    )


def _layers(weather: Conditions) -> tuple[WindLayer, ...]:
    return tuple(WindLayer(w.height_m, w.speed_mps, w.from_deg, w.gust_mps, arc_deg=w.arc_deg) for w in weather.wind)


def _surface_wind(layers: tuple[WindLayer, ...]) -> WindLayer | None:
    return min(layers, key=lambda layer: layer.height_m, default=None)
