"""A setting as a picture: what the drawing needs, taken from the result and the day."""

from __future__ import annotations

from reports.drawings.aim_plot import AimPoint, aim_plot
from reports.figures import Units
from reports.scene import Scene
from reports.sheet_data import WindLayer
from service.models.aiming import Aiming, AimSetting
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.planning.ground import Ground, ground_of
from service.planning.sheet import field_plan


def aim_picture(
    day: LaunchDay, aiming: Aiming, units: Units, width: float, height: float, *,
    conditions: Conditions | None = None, ground: Ground | None = None,
) -> Scene:  # fmt: skip
    """Landing point against setting, on the field. `conditions` are those aimed in; the day's own by default."""
    ground = ground or ground_of(day)
    lowest = (conditions or day.conditions).wind[0]
    east, north = ground.pad_at(day.pad_by_name(aiming.pad))

    def point(each: AimSetting) -> AimPoint:
        return AimPoint(
            each.tilt_deg, each.azimuth_deg, (each.east_m + east, each.north_m + north),
            None if each.ballistic_people_share is None else each.ballistic_people_share > 0.0,
        )  # fmt: skip

    target_east, target_north = (float(value) for value in ground.frame.to_local(*aiming.target))
    return aim_plot(
        field_plan(day, ground),
        tuple(point(each) for each in aiming.tried),
        point(aiming.before),
        point(aiming.after),
        point(aiming.worst),
        (target_east, target_north),
        WindLayer(lowest.height_m, lowest.speed_mps, lowest.from_deg, lowest.gust_mps, arc_deg=lowest.arc_deg),
        units,
        width,
        height,
    )
