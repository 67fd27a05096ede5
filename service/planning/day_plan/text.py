"""A plan as lines for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from itertools import groupby

from service.models.day_plan import DayPlan, PlanCell, PlanRow
from service.models.finding import Standing
from service.planning.call_first import MARK
from service.planning.day_plan.wording import call_lines

LETTERS: dict[Standing, str] = {"clear": "clear", "caution": "caut.", "stop": "STOP", "unknown": "unkn."}
WIDTH = 118


def plan_lines(plan: DayPlan) -> Iterator[str]:
    """The order first, then the hours, then what more wind changes."""
    yield f"{plan.day}, {plan.date}, times of {plan.timezone}"
    yield plan.words
    yield plan.stronger_words
    yield ""
    if plan.order:
        more = f"+{plan.stronger_by_mps:g} m/s"
        yield (
            f"{'time':<7}{'entry':<8}{'pad':<6}{'standing':<20}{more:<10}{'apogee':>9}  "
            "rocket, why then, and what limits it"
        )
    for each in plan.order:
        top = f"{each.apogee_m:,.0f} m" if each.apogee_m is not None else "unknown"
        stands = f"{f'{each.standing} {MARK}' if each.call_first else each.standing:<20}{each.stronger:<10}"
        yield f"{each.label:<7}{each.entry:<8}{each.pad:<6}{stands}{top:>9}  {each.rocket}: {each.why}"
        for limit in (each.limits, *each.also):
            yield from _wrapped(limit, 24)
    for said in call_lines(plan.order):
        yield from textwrap.wrap(said, WIDTH, subsequent_indent="  ")
    if plan.left_out:
        yield "Without a place:"
    for out in plan.left_out:
        yield from textwrap.wrap(f"  {out.entry}  {out.rocket}: {out.why}", WIDTH, subsequent_indent=" " * 8)
    yield ""
    yield f"{'':<8}" + "".join(f"{hour.label:<7}" for hour in plan.hours)
    yield f"{'m/s':<8}" + "".join(f"{hour.wind_mps:<7.1f}" for hour in plan.hours)
    for row in plan.rows:
        yield f"{row.entry:<8}" + "".join(f"{_cell(cell):<7}" for cell in row.cells)
    yield "What limits them:"
    for row in plan.rows:
        for line in _limits(row, [hour.label for hour in plan.hours]):
            yield from textwrap.wrap(f"  {line}", WIDTH, subsequent_indent=" " * 10)
    yield f"* another standing with {plan.stronger_by_mps:g} m/s more wind"
    if any(cell.called for row in plan.rows for cell in row.cells):
        yield "^ clear or at caution, but only after a call; the standing is that without it"
    yield (
        f"Kept: {plan.minutes_per_flight:g} min a flight and pad, {plan.launch_gap_min:g} min between launches, "
        f"{plan.rest_min:g} min between flights of one flyer; daylight; the ceilings' windows."
    )
    yield from plan.notes
    yield "Local code, the authority having jurisdiction and the range safety officer come first."


def _cell(cell: PlanCell) -> str:
    """A standing in six letters at most, with its marks."""
    marks = ("^" if cell.called else "") + ("*" if cell.stronger != cell.standing else "")
    letters = LETTERS[cell.standing]
    return (letters.rstrip(".") if len(letters) + len(marks) > 6 else letters) + marks


def _limits(row: PlanRow, labels: list[str]) -> Iterator[str]:
    """Hours in a row with one standing and one rule that decides, as one line each; clear hours say nothing."""
    numbers = range(len(row.cells))
    for (standing, _rule), run in groupby(numbers, lambda n: (row.cells[n].standing, row.cells[n].rules[:1])):
        found = list(run)
        if standing != "clear":
            when = labels[found[0]] if len(found) == 1 else f"{labels[found[0]]} to {labels[found[-1]]}"
            yield f"{row.entry}  {when}  {standing}: {row.cells[found[0]].limits}"


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent)
