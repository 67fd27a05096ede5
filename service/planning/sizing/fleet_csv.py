"""A fleet as CSV: classes and how many flights of each are expected.

    class,count,motor,mass_kg,diameter_m,length_m,canopy_diameter_m
    C,40,,,,,
    G,12,quillon-g52,0.75,0.066,1.3,0.8

`motor` is the id of a motor on offer; the sizes are the rocket's without its motor. Every column but the first two
may be missing, every cell in them empty: a rocket of common practice then stands for the class.
"""

from __future__ import annotations

import re

from pydantic import ValidationError

from service.models.base import shown
from service.models.day import LaunchDay
from service.models.designation import LETTERS
from service.models.motor import Motor
from service.planning.errors import Fault
from service.planning.ground import Ground, ground_of
from service.planning.sizing.errors import TableRefused
from service.planning.sizing.fleet import Fleet, FleetRocket, in_order
from service.planning.sizing.generic import class_motor, generic_entry
from service.planning.sizing.table import Row, read_rows

REQUIRED = ("class", "count")
SIZES = {  # column: least, most, unit; as in the document
    "mass_kg": (0.001, 1000.0, "kg"),
    "diameter_m": (0.003, 3.0, "m"),
    "length_m": (0.02, 30.0, "m"),
    "canopy_diameter_m": (0.02, 30.0, "m"),
}
EXAMPLE = f"class,count,motor,{','.join(SIZES)}"
MOST_ROWS = 60
MOST_FLIGHTS = 100_000
HIGHEST = "O"  # the highest class that the codes' tables know
ALLOWED = LETTERS[: LETTERS.index(HIGHEST) + 1]


def read_fleet_csv(data: bytes | str, day: LaunchDay, name: str = "the fleet", ground: Ground | None = None) -> Fleet:
    """Read a fleet.

    Raises
    ------
    TableRefused
        With every fault, by line and column.
    """
    known = (*REQUIRED, "motor", *SIZES)
    _header, rows, faults = read_rows(data, name, REQUIRED, lambda column: column in known, EXAMPLE, MOST_ROWS)
    ground = ground or ground_of(day)
    pad = max(day.field.pads, key=lambda each: each.guide_length_m)  # the longest guide serves every class
    pads = [ground.pad_at(each) for each in day.field.pads]
    middle = (sum(each[0] for each in pads) / len(pads), sum(each[1] for each in pads) / len(pads))
    rockets = []
    for row in rows:
        before = len(faults)
        letter, count = _letter(row, faults), _count(row, faults)
        motor, words = _motor(row, day, letter, faults)
        sizes = {column: row.figure(column, *bounds, faults) for column, bounds in SIZES.items()}
        if letter is None or count is None or motor is None or len(faults) > before:
            continue
        title = f"class {letter}" if not row.cells.get("motor") else f"class {letter}, {motor.designation}"
        try:
            entry, basis = generic_entry(motor, pad, title, **sizes)
        except ValidationError as error:
            first = error.errors()[0]["msg"]
            faults.append(Fault(f"line {row.line}", "sizes that do not go together", first))
            continue
        anywhere = tuple(each.name for each in day.field.pads)
        rockets.append(FleetRocket(title, entry, motor, count, middle, f"{words}; {basis}", anywhere))
    if faults:
        raise TableRefused(sorted(faults, key=_by_line), name)
    flights = sum(each.count for each in rockets)
    notes = (
        "A class of the fleet is flown as one rocket, sized by common practice where the list does not say: thrust to "
        "weight 8, diameter with the cube root of the mass, a canopy at the apogee, from the I class on drogue and "
        "main. Its airframe is the generic one, its static margin drawn from 1 to 3 calibers.",
        f"It flies from pad {pad.name}, which has the longest guide, moved to the middle of the pads; a distance "
        "counts as kept where every pad keeps it, as not kept where none does.",
    )
    return Fleet(in_order(rockets), f"{name}: {flights:,} flights of {len(rockets)} kinds", notes)


def _letter(row: Row, faults: list[Fault]) -> str | None:
    text = row.cells["class"]
    if text.upper() in ALLOWED:
        return text.upper()
    faults.append(Fault(row.where("class"), shown(text), f"an impulse class, one of {', '.join(ALLOWED)}"))
    return None


def _count(row: Row, faults: list[Fault]) -> int | None:
    text = row.cells["count"]
    if re.fullmatch(r"[0-9]{1,6}", text) and 1 <= int(text) <= MOST_FLIGHTS:
        return int(text)
    faults.append(Fault(row.where("count"), shown(text), f"a whole number from 1 to {MOST_FLIGHTS:,}"))
    return None


def _motor(row: Row, day: LaunchDay, letter: str | None, faults: list[Fault]) -> tuple[Motor | None, str]:
    wanted = row.cells.get("motor", "")
    if not wanted:
        return class_motor(day, letter) if letter else (None, "")
    motor = next((each for each in day.motors if each.id == wanted), None)
    if motor is None:
        faults.append(Fault(row.where("motor"), shown(wanted), "the id of a motor on offer, or an empty cell"))
    elif letter and motor.letter != letter:
        faults.append(Fault(row.where("motor"), f"{wanted}, a class {motor.letter} motor", f"a class {letter} motor"))
        motor = None
    return motor, f"the motor named, {motor.maker} {motor.designation}" if motor else ""


def _by_line(fault: Fault) -> tuple[int, str]:
    match = re.match(r"line (\d+)", fault.pointer)
    return (int(match[1]) if match else 0, fault.pointer)
