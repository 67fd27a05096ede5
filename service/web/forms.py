"""Forms whose fields are named by JSON pointers: what is typed becomes a document, a fault finds its field again.

    FIELDS = (FormField("/rocket/mass_kg", "Mass without the motor", "number", quantity="mass"), ...)
    form = Form.read(FIELDS, request.form, units)         # or Form.filled(FIELDS, document, units), Form.empty(...)
    try:
        entry = read_part(Entry, form.document({"id": "e-0"}), ENTRY)
    except DocumentRefused as refused:
        form.refuse(refused.faults)
    if form.faulty: return render_template(..., form=form), 422

What was typed stays as it was typed; numbers are in the reader's units and leave in SI.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal
from zoneinfo import ZoneInfo

from service.planning.errors import DocumentRefused, Fault
from service.planning.quantities import FormQuantity, Units, form_unit, from_si, to_si
from service.store import Refused
from service.web.errors import from_store
from service.web.fault_words import fault_words
from service.web.places import place_words

Kind = Literal["number", "whole", "text", "choice", "flag", "moment", "lines", "secret"]
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
LONGEST_TYPED = 20_000
_ABSENT = object()
LONGEST_LINES = 1_000_000  # an outline of ten thousand corners; what is sent at all is bounded by the route


@dataclass(frozen=True)
class FormField:
    """One field. `at` is its JSON pointer in the document, and its name in the form."""

    at: str
    label: str
    kind: Kind = "text"
    quantity: FormQuantity | None = None
    """What a number measures; it is then typed in the reader's units."""
    unit: str = ""
    """The unit of a number that has no other in either system: s, degrees."""
    scale: float = 1.0
    """What a number is multiplied with on its way in: 0.01 for per cent."""
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""
    needed: bool = False
    optional: bool = False
    """Say that it may be left out; for those whose section does not say so by itself."""
    default: str = ""
    null_when_empty: bool = False
    """Whether an empty field stands in the document as null; else it is left out."""
    autocomplete: str = "off"


class Form:
    """Fields with what was typed into them and what is wrong with it."""

    def __init__(
        self, fields: Sequence[FormField], units: Units, typed: Mapping[str, str], zone: str = "UTC"
    ) -> None:
        self.fields = {each.at: each for each in fields}
        self.units: Units = units
        self.zone = zone
        self.typed = {at: typed.get(at, "") for at in self.fields}
        self.faults: dict[str, list[str]] = {}
        self.general: list[str] = []

    @classmethod
    def empty(cls, fields: Sequence[FormField], units: Units, zone: str = "UTC", **typed: str) -> Form:
        """A form as it is first shown. `typed` gives values by the last part of their names."""
        values = {each.at: typed.get(each.at.rsplit("/", 1)[-1], each.default) for each in fields}
        return cls(fields, units, values, zone)

    @classmethod
    def read(cls, fields: Sequence[FormField], sent: Mapping[str, str], units: Units, zone: str = "UTC") -> Form:
        """What somebody sent."""
        longest = {each.at: LONGEST_LINES if each.kind == "lines" else LONGEST_TYPED for each in fields}
        values = {each.at: sent.get(each.at, "").strip()[: longest[each.at]] for each in fields}
        return cls(fields, units, values, zone)

    @classmethod
    def filled(cls, fields: Sequence[FormField], document: Any, units: Units, zone: str = "UTC") -> Form:
        """A form that shows what is kept; what the document has no place for begins as in an empty form."""
        shown = {}
        for each in fields:
            value = _at(document, each.at)
            shown[each.at] = each.default if value is _ABSENT else _written(each, value, units, zone)
        return cls(fields, units, shown, zone)

    @property
    def faulty(self) -> bool:
        """Whether anything is wrong."""
        return bool(self.faults or self.general)

    def unit(self, at: str) -> str:
        """What a field's number counts, as it is typed."""
        each = self.fields[at]
        return form_unit(each.quantity, self.units) if each.quantity else each.unit

    def shown(self, at: str) -> str:
        """What stands in a field, as a person says it: a choice by its words, a number with its unit."""
        each, text = self.fields[at], self.typed[at]
        if each.kind == "flag":
            return "yes" if text else "no"
        if each.kind == "choice":
            return dict(each.choices).get(text, text)
        return f"{text} {self.unit(at)}".rstrip() if text else ""

    def has(self, at: str) -> bool:
        """Whether anything was typed, or ticked."""
        return bool(self.typed.get(at))

    def document(self, base: Any = None) -> Any:
        """The document that was typed, over `base`. What cannot be read is listed in `faults` and left out."""
        made = deepcopy(base) if base is not None else {}
        for at, each in self.fields.items():
            text = self.typed[at]
            if each.kind == "flag":
                _put(made, at, text != "")
                continue
            if text == "":
                if each.needed:
                    self.add(at, "found nothing; expected this to be filled in")
                elif each.null_when_empty:
                    _put(made, at, None)
                continue
            try:
                _put(made, at, self._value(each, text))
            except ValueError as error:
                self.add(at, str(error))
        return made

    def add(self, at: str, sentence: str) -> None:
        """Say what is wrong beside the field that it is about, or above the form when it is about none."""
        place = self._place(at)
        if place:
            listed = self.faults.setdefault(place, [])
        else:
            listed = self.general
            sentence = f"{place_words(at)}: {sentence}" if at else sentence
        if sentence not in listed:
            listed.append(sentence)

    def refuse(self, faults: Iterable[Fault], prefix: str = "") -> None:
        """Put faults beside their fields; one that could not be read at all keeps its first fault."""
        unread = set(self.faults)
        for fault in faults:
            at = prefix + fault.pointer
            if at in unread:
                continue
            place = self._place(at)
            self.add(at, fault_words(fault, self.fields, place, self.typed.get(at, ""), self.units))

    def _place(self, at: str) -> str:
        """The field that a place of the document belongs to; empty for none."""
        place = at
        while place and place not in self.fields:
            place = place.rpartition("/")[0]
        inside = [each for each in self.fields if each.startswith(at + "/")] if at and not place else []
        return inside[0] if len(inside) == 1 else place

    def refuse_error(self, error: DocumentRefused | Refused, prefix: str = "") -> None:
        """The same for what planning or the store raised."""
        self.refuse(error.faults if isinstance(error, DocumentRefused) else from_store(error)[1], prefix)

    def _value(self, each: FormField, text: str) -> Any:
        if each.kind in ("number", "whole"):
            number = read_number(text)
            if each.kind == "whole":
                if number != int(number):
                    raise ValueError(f'found "{text}"; expected a whole number')
                return int(number)
            return to_si(number, each.quantity, self.units) if each.quantity else float(f"{number * each.scale:.12g}")
        if each.kind == "moment":
            return read_moment(text, self.zone)
        if each.kind == "choice" and each.choices and text not in dict(each.choices):
            raise ValueError(f'found "{text[:40]}"; expected one of those listed')
        return {"true": True, "false": False}.get(text, text) if each.kind == "choice" else text


def read_number(text: str) -> float:
    """A number as people type it; refused in a sentence.

    >>> read_number(" 0.45 ")
    0.45
    """
    plain = text.strip().replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(plain) or not math.isfinite(float(plain)):
        raise ValueError(f'found "{text[:40]}"; expected a number written with a point, such as 0.45 or 1200')
    return float(plain)


def read_moment(text: str, zone: str) -> str:
    """A local time as a browser's field gives it, as RFC 3339 with the offset of the field's zone.

    >>> read_moment("2027-05-15T09:00", "America/Chicago")
    '2027-05-15T09:00:00-05:00'
    """
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise ValueError(f'found "{text[:40]}"; expected a date and time such as 2027-05-15T09:00') from None
    return (when if when.tzinfo else when.replace(tzinfo=ZoneInfo(zone))).isoformat(timespec="seconds")


def _steps(at: str) -> list[str | int]:
    parts = [each.replace("~1", "/").replace("~0", "~") for each in at.split("/")[1:]]
    return [int(each) if each.isdecimal() else each for each in parts]


def _at(document: Any, at: str) -> Any:
    """What stands in a place; `_ABSENT` where the document has no such place."""
    for step in _steps(at):
        if isinstance(document, Mapping) and step in document:
            document = document[step]
        elif isinstance(document, Sequence) and isinstance(step, int) and step < len(document):
            document = document[step]
        else:
            return _ABSENT
    return document


def _put(document: Any, at: str, value: Any) -> None:
    """Set a value, making the objects and lists on the way. A list grows one by one."""
    *way, last = _steps(at)
    here = document
    for step, following in zip(way, [*way, last][1:], strict=True):
        empty: Any = [] if isinstance(following, int) else {}
        if isinstance(here, list):
            while len(here) <= int(step):
                here.append(deepcopy(empty))
            here = here[int(step)]
        else:
            if here.get(step) is None:
                here[step] = empty
            here = here[step]
    if isinstance(here, list):
        while len(here) <= int(last):
            here.append(None)
        here[int(last)] = value
    else:
        here[last] = value


def _written(each: FormField, value: Any, units: Units, zone: str) -> str:
    if value is None or value is False:
        return "false" if value is False and each.kind == "choice" else ""
    if value is True:
        return "true"
    if each.kind == "moment":
        return datetime.fromisoformat(str(value)).astimezone(ZoneInfo(zone)).strftime("%Y-%m-%dT%H:%M")
    if each.kind == "number" and isinstance(value, int | float):
        return from_si(float(value), each.quantity, units) if each.quantity else f"{float(value) / each.scale:.8g}"
    return str(value)
