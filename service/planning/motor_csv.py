"""Motors on offer as a table: CSV in and out, one motor a line, the thrust curve in one cell.

    id,maker,designation,case,casing,propellant,diameter_mm,length_mm,loaded_mass_g,propellant_mass_g,delays,effect,
    price,currency,flights,stock,thrust_curve

`case` is single_use or reload; `propellant` black_powder, composite or hybrid. `delays` lists seconds on sale
("3;5;7"), or tells what can be drilled ("14..6/2": from 14 s down to 6 s in steps of 2 s), or is "P" for plugged.
`thrust_curve` is "time_s:thrust_n" pairs with semicolons between them. Empty cells are not known.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from typing import Any

from service.models.motor import AdjustableDelay, FixedDelays, Motor
from service.planning.errors import DocumentRefused, Fault
from service.planning.part import MOTOR, read_part
from service.planning.thrust_csv import parted_by

COLUMNS = (
    "id", "maker", "designation", "case", "casing", "propellant", "diameter_mm", "length_mm", "loaded_mass_g",
    "propellant_mass_g", "delays", "effect", "price", "currency", "flights", "stock", "thrust_curve",
)  # fmt: skip
MOST_ROWS = 2000
_DRILLED = re.compile(r"(\d+(?:\.\d+)?)\.\.(\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)")
_TEXTS = ("id", "maker", "designation", "case", "casing", "propellant", "effect")
_SCALED = {"diameter_mm": "diameter_m", "length_mm": "length_m", "loaded_mass_g": "loaded_mass_kg",
           "propellant_mass_g": "propellant_mass_kg"}  # fmt: skip


def write_motors(motors: Iterable[Motor]) -> str:
    """Motors as CSV with its header."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for motor in motors:
        price = motor.price
        writer.writerow(
            [
                motor.id, motor.maker, motor.designation, motor.case, motor.casing or "", motor.propellant,
                *(_plain(1000.0 * getattr(motor, name)) for name in _SCALED.values()),
                write_delays(motor), motor.effect or "",
                *((price.amount, price.currency, price.flights) if price else ("", "", "")),
                "" if motor.stock is None else motor.stock,
                ";".join(f"{_plain(time_s)}:{_plain(thrust_n)}" for time_s, thrust_n in motor.thrust_curve),
            ]
        )  # fmt: skip
    return out.getvalue()


def read_motors(text: str) -> list[Motor]:
    """Motors from CSV.

    Raises
    ------
    DocumentRefused
        With every fault, its pointer being /line/column.
    """
    rows = [(number, row) for number, row in _rows(text) if any(cell.strip() for cell in row)]
    if not rows or tuple(cell.strip() for cell in rows[0][1]) != COLUMNS:
        raise DocumentRefused([_no_header([cell.strip() for cell in rows[0][1]] if rows else [])], "the table")
    faults: list[Fault] = []
    motors: list[Motor] = []
    lines: dict[str, int] = {}
    if len(rows) - 1 > MOST_ROWS:
        raise DocumentRefused([Fault("", f"{len(rows) - 1} motors", f"at most {MOST_ROWS}")], "the table")
    for number, row in rows[1:]:
        if len(row) != len(COLUMNS):
            faults.append(Fault(f"/{number}", f"{len(row)} cells", f"{len(COLUMNS)}, as in the header"))
            continue
        cells = dict(zip(COLUMNS, (cell.strip() for cell in row), strict=True))
        document, unread = _document(cells)
        faults += [Fault(f"/{number}/{column}", found, expected) for column, found, expected in unread]
        if unread:
            continue
        try:
            motor = read_part(Motor, document, MOTOR)
        except DocumentRefused as refused:
            faults += [Fault(f"/{number}{_column(each.pointer)}", each.found, each.expected) for each in refused.faults]
            continue
        if motor.id in lines:
            again = f'"{motor.id}" again, as in line {lines[motor.id]}'
            faults.append(Fault(f"/{number}/id", again, "an id of its own"))
        lines[motor.id] = number
        motors.append(motor)
    if faults:
        raise DocumentRefused(faults, "the table")
    return motors


def _no_header(cells: list[str]) -> Fault:
    """Why the first line is not the header."""
    text, header = ",".join(cells), f"the header {','.join(COLUMNS)}"
    if not cells:
        return Fault("/1", "nothing", header)
    if len(cells) < len(COLUMNS) and parted_by(text):
        found = f"cells parted by {parted_by(text)}"
        return Fault("/1", found, f"commas between them and points before decimals, beginning with {header}")
    unknown = [each for each in cells if each not in COLUMNS]
    lacking = [each for each in COLUMNS if each not in cells]
    if len(unknown) > len(cells) // 2:
        return Fault("/1", f'"{text[:60]}", with no header above it', f"{header} as the first line")
    if unknown or lacking:
        said = [f"without {', '.join(lacking)}"] if lacking else []
        said += [f"with {', '.join(unknown[:6])}, which is not known"] if unknown else []
        return Fault("/1", f"a header {' and '.join(said)}", header)
    return Fault("/1", "the columns in another order, or one of them twice", header)


def write_delays(motor: Motor) -> str:
    """Delays as one cell."""
    if isinstance(motor.delays, FixedDelays):
        return ";".join(_plain(each) for each in motor.delays.seconds)
    if isinstance(motor.delays, AdjustableDelay):
        each = motor.delays
        return f"{_plain(each.longest_s)}..{_plain(each.shortest_s)}/{_plain(each.step_s)}"
    return "P"


def read_delays(text: str) -> dict[str, Any]:
    """Delays from one cell, as they stand in the document.

    >>> read_delays("3; 5"), read_delays("14..6/2")["shortest_s"], read_delays("P")
    ({'kind': 'fixed', 'seconds': [3.0, 5.0]}, 6.0, {'kind': 'plugged'})
    """
    plain = "".join(text.split())
    if plain.upper() == "P":
        return {"kind": "plugged"}
    drilled = _DRILLED.fullmatch(plain)
    if drilled:
        longest_s, shortest_s, step_s = map(float, drilled.groups())
        return {"kind": "adjustable", "longest_s": longest_s, "shortest_s": shortest_s, "step_s": step_s}
    try:
        return {"kind": "fixed", "seconds": [float(each) for each in re.split("[;,]", plain)]}
    except ValueError:
        raise ValueError(f'found "{text[:40]}"; expected seconds such as 3;5;7, or 14..6/2, or P') from None


def _rows(text: str) -> Iterable[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text.lstrip("\ufeff")))
    try:
        for row in reader:
            yield reader.line_num, row
    except csv.Error as error:
        raise DocumentRefused([Fault(f"/{reader.line_num}", str(error), "CSV")], "the table") from None


def _document(cells: dict[str, str]) -> tuple[dict[str, Any], list[tuple[str, str, str]]]:
    unread: list[tuple[str, str, str]] = []
    made: dict[str, Any] = {name: cells[name] or None for name in _TEXTS}

    def number(column: str, text: str, scale: float = 1.0) -> Any:
        try:
            return float(f"{float(text) * scale:.12g}")
        except ValueError:
            unread.append((column, f'"{text[:40]}"', "a number written with a point, such as 24 or 0.5"))
            return None

    for column, name in _SCALED.items():
        made[name] = number(column, cells[column], 0.001)
    try:
        made["delays"] = read_delays(cells["delays"])
    except ValueError as error:
        found, _, expected = str(error).removeprefix("found ").partition("; expected ")
        unread.append(("delays", found, expected))
    for column in ("stock", "flights"):
        if cells[column] and not cells[column].isdecimal():
            unread.append((column, f'"{cells[column][:40]}"', "a whole number"))
    if not unread:
        made["stock"] = int(cells["stock"]) if cells["stock"] else None
        if cells["price"] or cells["currency"]:
            flights = int(cells["flights"] or 1)
            made["price"] = {"amount": cells["price"], "currency": cells["currency"], "flights": flights}
    made["thrust_curve"] = []
    for pair in filter(None, cells["thrust_curve"].split(";")):
        time_s, colon, thrust_n = pair.partition(":")
        if not colon:
            unread.append(("thrust_curve", f'"{pair[:40]}"', "time_s:thrust_n pairs, such as 0:0;0.2:9;1.1:0"))
            break
        made["thrust_curve"].append([number("thrust_curve", time_s), number("thrust_curve", thrust_n)])
    return made, unread


def _column(pointer: str) -> str:
    """The column that a pointer into a motor belongs to."""
    name = pointer.split("/")[1] if pointer.count("/") else ""
    names = {value: column for column, value in _SCALED.items()}
    if pointer.startswith("/price/"):
        return {"amount": "/price"}.get(pointer.split("/")[2], f"/{pointer.split('/')[2]}")
    return f"/{names.get(name, name)}" if name else ""


def _plain(value: float) -> str:
    return f"{value:.10g}"
