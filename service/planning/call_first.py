"""Ceilings that wait for something to be done, such as a call: the day once it is done, and how that is told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from service.models.ceiling import Ceiling, in_force
from service.models.day import LaunchDay
from service.models.finding import Finding, Standing
from service.planning.ceiling_words import called

CEILING = ("apogee", "simultaneous_apogee")  # beginnings of the quantities that are held against a ceiling
MAY_FLY: tuple[Standing, ...] = ("clear", "caution")  # caution is for the safety officer to weigh
MARK = "CALL FIRST"


def waiting(day: LaunchDay, when: datetime, later: bool = False) -> tuple[Ceiling, ...]:
    """Ceilings that permit more than the one in force once something is done, the lowest first.

    `later` adds those whose window opens after that moment.
    """
    elevation_m = day.field.elevation_m
    binding = in_force(day.ceilings, when, elevation_m)
    found = [
        each
        for each in day.ceilings
        if each.condition is not None
        and (each.holds_at(when) or (later and each.from_at is not None and each.from_at > when))
        and (binding is None or each.height_agl_m(elevation_m) > binding.height_agl_m(elevation_m))
    ]
    return tuple(sorted(found, key=lambda each: each.height_agl_m(elevation_m)))


def as_called(day: LaunchDay, ceiling: Ceiling, when: datetime) -> LaunchDay:
    """The day with what a ceiling waits for done, and lower ones cut around its window.

    A window that opens later is taken to have opened by `when`.
    """
    done = ceiling.model_copy(update={"condition": None})
    if done.from_at is not None and done.from_at > when:
        done = done.model_copy(update={"from_at": None})
    height_m = done.height_agl_m(day.field.elevation_m)
    others: list[Ceiling] = []
    for each in day.ceilings:
        if each != ceiling:
            others += [each] if each.height_agl_m(day.field.elevation_m) >= height_m else _around(each, done)
    return day.model_copy(update={"ceiling": (done, *others)})


def _around(lower: Ceiling, window: Ceiling) -> Iterator[Ceiling]:
    """What is left of a ceiling before and after a window."""
    opens, closes = window.from_at, window.to_at
    if opens is not None and (lower.from_at is None or lower.from_at < opens):
        ends = opens if lower.to_at is None else min(opens, lower.to_at)
        yield lower.model_copy(update={"to_at": ends})
    if closes is not None and (lower.to_at is None or lower.to_at > closes):
        begins = closes if lower.from_at is None else max(closes, lower.from_at)
        yield lower.model_copy(update={"from_at": begins})


def kept_down(standings: Iterable[tuple[Standing, Finding]]) -> bool:
    """Whether ceilings are all that a flight stands at stop or unknown by."""
    blocking = [finding for standing, finding in standings if standing not in MAY_FLY]
    return bool(blocking) and all((each.quantity or "").startswith(CEILING) for each in blocking)


def call_words(day: LaunchDay, ceiling: Ceiling, since: datetime, until: datetime | None = None) -> str:
    """What has to be done first for flights from `since` until `until`, and for which ceiling, as a sentence.

    A lower ceiling has to be cut where it holds at any moment of that time at which the window is open. Without
    `until` the time lasts as long as the window.
    """
    needs = f"Needs {(ceiling.condition or '').rstrip('.')} first, for {called(ceiling, day)}"
    opens = since if ceiling.from_at is None else max(since, ceiling.from_at)
    closes = min((each for each in (until, ceiling.to_at) if each is not None), default=None)
    lower = list(_lower(day, ceiling, opens, closes))
    if not lower:
        return f"{needs}."
    return f"{needs}, and the lower {'ceiling' if len(lower) == 1 else 'ceilings'} cut around that window."


def _lower(day: LaunchDay, ceiling: Ceiling, opens: datetime, closes: datetime | None) -> Iterator[Ceiling]:
    """Ceilings that bind under this one at some moment of a stretch of time."""
    elevation_m = day.field.elevation_m
    for each in day.ceilings:
        begun = each.from_at is None or closes is None or each.from_at < closes
        over = each.to_at is not None and each.to_at <= opens
        if each.condition is None and begun and not over:
            if each.height_agl_m(elevation_m) < ceiling.height_agl_m(elevation_m):
                yield each
