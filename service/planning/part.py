"""Reading one part of a launch-day document on its own, with the same refusals as the whole."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import ValidationError

from service.models.base import Model
from service.planning.decode import Unreadable, decode
from service.planning.errors import DocumentRefused, Fault, pointer
from service.planning.translate import faults_of

M = TypeVar("M", bound=Model)
Place = tuple[str | int, ...]

ENTRY: Place = ("entries", 0)
MOTOR: Place = ("motors", 0)
CONDITIONS: Place = ("conditions",)
ZONE: Place = ("field", "zones", 0)
PAD: Place = ("field", "pads", 0)
ROOT: Place = ()


def read_part(kind: type[M], value: Any, place: Place = ROOT, name: str = "the document") -> M:
    """Read a part from plain JSON values.

    Parameters
    ----------
    kind : type of Model
        What it should be.
    value
        Its JSON values.
    place : tuple
        Where such a part stands in a launch-day document, so that refusals can say which fields are known there.
    name : str
        What to call it in a refusal.

    Raises
    ------
    DocumentRefused
        With every fault, its pointer counted from the part itself.
    """
    try:
        return kind.model_validate(value)
    except ValidationError as error:
        faults = list(faults_of(_Moved(error, place), _wrapped(value, place)))  # type: ignore[arg-type]
    prefix = pointer(place)
    raise DocumentRefused([Fault(f.pointer.removeprefix(prefix), f.found, f.expected) for f in faults], name)


def read_part_bytes(kind: type[M], data: bytes, place: Place = ROOT, name: str = "the document") -> M:
    """Read a part from JSON bytes; raises `decode.Unreadable` where they are no JSON, else as `read_part`."""
    value, found = decode(data)
    try:
        part = read_part(kind, value, place, name)
    except DocumentRefused as refused:
        raise DocumentRefused([*refused.faults, *found], name) from None
    if found:
        raise DocumentRefused(found, name)
    return part


class _Moved:
    """A validation error as if the part stood in its place in a whole document."""

    def __init__(self, error: ValidationError, place: Place) -> None:
        self._error, self._place = error, place

    def errors(self, **options: Any) -> list[dict[str, Any]]:
        return [{**each, "loc": (*self._place, *each["loc"])} for each in self._error.errors(**options)]


def _wrapped(value: Any, place: Place) -> Any:
    for step in reversed(place):
        value = [value] if step == 0 else {step: value}
    return value


__all__ = ["CONDITIONS", "ENTRY", "MOTOR", "PAD", "ROOT", "ZONE", "Unreadable", "read_part", "read_part_bytes"]
