"""What an aim leaves in a folder: all of it as JSON, the field with setting against landing as a picture."""

from __future__ import annotations

from collections.abc import Mapping

from reports.svg import svg_file
from service.models.aiming import Aiming
from service.models.day import LaunchDay
from service.planning.aim.picture import aim_picture
from service.planning.pictures import WIDE, Units


def aim_names(entry_id: str) -> tuple[str, str]:
    """The names of its files, before there is anything to write."""
    return f"aim-{entry_id}.json", f"aim-{entry_id}.svg"


def aim_svg(day: LaunchDay, aiming: Aiming, units: Units = "si") -> str:
    """The field with setting against landing as a picture of its own."""
    return svg_file(aim_picture(day, aiming, units, *WIDE), "aim")


def aim_files(day: LaunchDay, aiming: Aiming, units: Units = "si") -> Mapping[str, bytes]:
    """File names and contents."""
    answer = (aiming.model_dump_json(indent=1) + "\n").encode()
    return dict(zip(aim_names(aiming.entry), (answer, aim_svg(day, aiming, units).encode()), strict=True))
