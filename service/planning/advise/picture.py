"""The ladder as a picture: what the drawing needs, taken from the ladder."""

from __future__ import annotations

from collections.abc import Iterable

from reports.drawings.motor_ladder import LadderRung, motor_ladder_picture
from reports.figures import Units
from reports.scene import Scene
from service.models.advice import Ladder, Pick


def ladder_rungs(ladder: Ladder, picks: Iterable[Pick] = ()) -> tuple[LadderRung, ...]:
    """The rungs, and those motors that only the ceiling keeps off it."""
    chosen: dict[str, list[str]] = {}
    for pick in picks:
        if pick.motor:
            chosen.setdefault(pick.motor, []).append(pick.aim)
    flown = [
        LadderRung(
            name=rung.name if rung.delay_s is None else f"{rung.name}, {rung.delay_s:g} s",
            apogee_m=rung.apogee_m.nominal,
            low_m=rung.apogee_m.p025,
            high_m=rung.apogee_m.p975,
            standing=rung.standing,
            inside=rung.inside.estimate if rung.inside else None,
            exit_speed_mps=rung.exit_speed_mps.nominal,
            chosen_for=tuple(chosen.get(rung.motor, ())),
        )
        for rung in ladder.rungs
    ]
    over = [
        LadderRung(name=each.name, apogee_m=each.apogee_m, over_ceiling=True)
        for each in ladder.excluded
        if each.apogee_m is not None
    ]
    return (*flown, *sorted(over, key=lambda rung: rung.apogee_m or 0.0))


def ladder_picture(ladder: Ladder, picks: Iterable[Pick], units: Units, width: float) -> Scene:
    """The picture for page and paper; its height follows from the number of motors."""
    return motor_ladder_picture(ladder_rungs(ladder, picks), ladder.ceiling_m, units, width)
