"""Filters of the templates: small words around values."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from service.models.ceiling import Ceiling
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.motor import Motor
from service.planning.quantities import sentence
from service.store.motors import Offer
from service.web.places import place_in, place_words, places_words


def counted(number: int, one: str, many: str) -> str:
    """A count with its noun.

    >>> counted(1, "entry", "entries"), counted(3, "entry", "entries")
    ('1 entry', '3 entries')
    """
    return f"{number} {one if number == 1 else many}"


def capitalize_first(text: str) -> str:
    """Upper case for the first letter, the rest left as it is."""
    return text[:1].upper() + text[1:]


def closed(text: str) -> str:
    """The text closed by one full stop, or by the question mark that it ends with.

    >>> closed("stand together.."), closed("is it right?"), closed("found nothing")
    ('stand together.', 'is it right?', 'found nothing.')
    """
    bare = text.rstrip().rstrip(".")
    return bare if bare.endswith(("?", "!", ":")) else f"{bare}."


def ceiling_agl(ceiling: Ceiling, elevation_m: float) -> float:
    """The ceiling above the field. [m]"""
    return ceiling.height_agl_m(elevation_m)


def motor_name(day: LaunchDay, motor_id: str) -> str:
    """Maker and designation of a motor on offer; its id where it is not."""
    found = next((each for each in day.motors if each.id == motor_id), None)
    return f"{found.maker} {found.designation}" if found else motor_id


def with_gone(day: LaunchDay, gone: Iterable[Offer]) -> LaunchDay:
    """The day as words are taken from it: with motors that are off the offer."""
    return day.model_copy(update={"motors": (*day.motors, *(each.motor for each in gone))})


def motor_words(day: LaunchDay, entry: Entry) -> str:
    """An entry's motors in words, delay included."""
    count = f"{entry.motor_count} × " if entry.motor_count > 1 else ""
    delay = f", delay {entry.delay_s:g} s" if entry.delay_s is not None else ""
    return f"{count}{motor_name(day, entry.motor)}{delay}"


def delays_words(motor: Motor) -> str:
    """The delays that can be had, in words."""
    if motor.delays.kind == "adjustable":
        return f"{motor.delays.longest_s:g} s, drilled down to {motor.delays.shortest_s:g} s"
    offered = [f"{each:g}" for each in motor.delays.offered_s()]
    return f"{', '.join(offered)} s" if offered else "plugged"


FILTERS: dict[str, Callable[..., Any]] = {
    "counted": counted,
    "capitalize_first": capitalize_first,
    "ceiling_agl": ceiling_agl,
    "motor_name": motor_name,
    "motor_words": motor_words,
    "delays": delays_words,
    "sentence": sentence,
    "closed": closed,
    "place": place_words,
    "place_in": place_in,
    "places": places_words,
}
