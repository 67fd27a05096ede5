"""A flight that can be learnt from: what flew, in what weather, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.models.conditions import Conditions
from service.models.crosscheck import DayParts, day_problems
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.flight_log import Flight, FlightLog, LogLine
from service.planning.errors import DocumentRefused, Fault, pointer


@dataclass(frozen=True)
class Case:
    """One flight of a log. `day` is what it flew on: field, pads, motors, rules; `entry` as it flew."""

    label: str
    day: LaunchDay
    entry: Entry
    flight: Flight
    conditions: Conditions | None
    recorded_apogee_m: float | None = None
    recorded_landing: tuple[float, float] | None = None
    why_not: str = ""  # why it cannot be flown again

    @property
    def rocket(self) -> str:
        return self.entry.rocket.name

    @property
    def devices(self) -> int:
        """Recovery devices that open."""
        return sum(1 for each in self.entry.recovery if each.kind != "none" and each.deploy is not None)


def cases_of(day: LaunchDay, log: FlightLog, name: str = "the log") -> list[Case]:
    """The flights of a log file, on the entries of a launch-day document.

    A flight without weather of its own takes the document's where it was flown on that day; else it stays unknown. What
    was written by mistake is left out.

    Raises
    ------
    DocumentRefused
        Where a flight names an entry, a pad or a motor that the document has not, or a motor that does not fit.
    """
    faults: list[Fault] = []
    cases: list[Case] = []
    for index, line in enumerate(log.flights):
        if line.happened == "mistake":
            continue
        where = ("flights", index)
        known = {entry.id: entry for entry in day.entries}
        if line.entry not in known:
            faults.append(Fault(pointer((*where, "entry")), f'"{line.entry}"', "the id of an entry of the launch day"))
            continue
        entry = _as_flown(known[line.entry], line)
        parts = DayParts(motors=dict(enumerate(day.motors)), pads=dict(enumerate(day.field.pads)), entries={0: entry})
        for problem in day_problems(parts):
            if problem.at[:1] == ("entries",):
                place = problem.at[2] if problem.at[2:3] in (("motor",), ("pad",), ("delay_s",)) else "motor"
                faults.append(Fault(pointer((*where, place)), problem.found, problem.expected))
        conditions = line.conditions
        if conditions is None and line.flown_at.date() == day.date:
            conditions = day.conditions
        cases.append(
            Case(
                label=f"{line.entry} {line.flown_at:%Y-%m-%d %H:%M}",
                day=day,
                entry=entry,
                flight=line,
                conditions=conditions,
                recorded_apogee_m=line.estimated_apogee_m,
                recorded_landing=line.estimated_landing,
                why_not="" if conditions else "the weather it flew in was not kept",
            )
        )
    if faults:
        raise DocumentRefused(faults, name)
    return in_order(cases)


def _as_flown(entry: Entry, line: LogLine) -> Entry:
    values = {"pad": line.pad, "motor": line.motor or entry.motor}
    delay_s = entry.delay_s if line.delay_s is None else line.delay_s
    return entry.model_copy(update={**values, "delay_s": delay_s})


def in_order(cases: list[Case]) -> list[Case]:
    """By time, then by label; flights of one label told apart by a number."""
    ordered = sorted(cases, key=lambda case: (case.flight.flown_at, case.label))
    seen: dict[str, int] = {}
    found = []
    for case in ordered:
        seen[case.label] = seen.get(case.label, 0) + 1
        found.append(case if seen[case.label] == 1 else replace(case, label=f"{case.label} ({seen[case.label]})"))
    return found
