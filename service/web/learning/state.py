"""What learning for a launch day rests on: the kept flight logs, an earlier log as a file, what is in force."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import url_for

from service.models.day import LaunchDay
from service.models.flight_log import FlightLog
from service.models.learning import Learning
from service.planning.advise.errors import AdviceError
from service.planning.errors import DocumentRefused, Fault
from service.planning.learning.cases import Case, cases_of, in_order
from service.planning.learning.kept import kept_cases
from service.planning.learning.log_files import read_log
from service.store import Store, TooLarge
from service.store.header import DayHeader
from service.store.versions import Version
from service.web.callers import Caller
from service.web.jobs import CannotBeDone, Place, Task, Watch

LOG_LIMIT = 60_000  # bytes of a log that is added as a file; some 300 flights


@dataclass(frozen=True)
class Asked:
    """The flights that may be learnt from, as things stand. `faults` say why the added log cannot be read any more."""

    day_id: str
    day: LaunchDay
    header: Version[DayHeader]
    cases: tuple[Case, ...]
    added: int
    log_revision: int
    faults: tuple[Fault, ...]


def asked_of(store: Store, day_id: str, by: Caller) -> Asked:
    """The flights of every day that whoever asks runs, and those of the added log."""
    header = store.days.header(day_id)
    day = store.day_document(day_id)
    runs = [each.id for each in store.days.all() if each.id == day_id or by.roles(each.id) & {"rso", "organiser"}]
    kept = kept_cases(store, runs)
    added, revision, faults = _added(store, day_id, day)
    return Asked(day_id, day, header, tuple(in_order([*kept, *added])), len(added), revision, tuple(faults))


def _added(store: Store, day_id: str, day: LaunchDay) -> tuple[Sequence[Case], int, Sequence[Fault]]:
    setting = store.settings.find(log_name(day_id))
    if setting is None:
        return (), 0, ()
    if not setting.value:
        return (), setting.revision, ()
    try:
        return cases_of(day, read_log(setting.value.encode())), setting.revision, ()
    except DocumentRefused as refused:
        return (), setting.revision, refused.faults


def added_log(store: Store, day_id: str) -> tuple[FlightLog, int]:
    """The added log as it was kept, and its revision; an empty one, 0, where there is none."""
    store.days.header(day_id)  # refuses a day that is not there
    setting = store.settings.find(log_name(day_id))
    if setting is None or not setting.value:
        return FlightLog(flights=()), setting.revision if setting else 0
    return read_log(setting.value.encode()), setting.revision


def log_name(day_id: str) -> str:
    """The setting that holds a day's added log: a name of its own however long the day's id."""
    return f"flight-log.{hashlib.sha256(day_id.encode()).hexdigest()[:32]}"


def add_log(store: Store, asked: Asked, data: bytes, name: str, by: str, based_on: int) -> int:
    """Keep an earlier log beside the day's own; empty data takes it away. Returns the number of its flights.

    Raises
    ------
    DocumentRefused
        With every fault of the log.
    TooLarge, Conflict
        As the store says.
    """
    if len(data) > LOG_LIMIT:
        raise TooLarge("flight log", len(data), LOG_LIMIT)
    text = ""
    count = 0
    if data:
        log = read_log(data, name)
        count = len(cases_of(asked.day, log, name))
        text = data.decode("utf-8-sig")
    store.settings.set(log_name(asked.day_id), text, by, based_on=based_on)
    return count


def learning_task(asked: Asked) -> Task:
    """What the log teaches, as a job."""

    def work(watch: Watch) -> Learning:
        from service.planning.learning.learn import learn

        try:
            return learn(asked.day, asked.cases, consequences=True, progress=watch, should_stop=watch.stop)
        except AdviceError as why:
            raise CannotBeDone(str(why)) from None

    place = Place(
        asked.day_id,
        url_for("learning.show", day_id=asked.day_id),
        url_for("api_learning.get_learning", day_id=asked.day_id),
    )
    key = {
        "corrections": [each.model_dump(mode="json") for each in asked.day.corrections],
        "spreads": asked.day.policy.spreads,
        "chances": asked.day.mode_chances.model_dump(mode="json"),
        "name": asked.day.name,
        "flights": [_rests_on(case) for case in asked.cases],
    }
    return Task("learning", key, place, work)


def _rests_on(case: Case) -> dict[str, Any]:
    """All of a flight that bears on what is learnt from it."""
    motor = next((each for each in case.day.motors if each.id == case.entry.motor), None)
    pad = next((each for each in case.day.field.pads if each.name == case.entry.pad), None)
    return {
        "label": case.label,
        "day": [case.day.name, case.day.field.elevation_m, case.day.field.terrain],
        "entry": case.entry.model_dump(mode="json", by_alias=True, include={"id", "rocket", "motor", "motor_count",
                                                                            "delay_s", "pad", "recovery"}),
        "motor": motor.model_dump(mode="json", exclude={"price", "stock"}) if motor else None,
        "pad": pad.model_dump(mode="json") if pad else None,
        "flight": case.flight.model_dump(mode="json", include={"entry", "flown_at", "happened", "apogee_m", "landing"}),
        "conditions": case.conditions.model_dump(mode="json") if case.conditions else None,
        "recorded": case.recorded_apogee_m,
        "why_not": case.why_not,
    }  # fmt: skip
