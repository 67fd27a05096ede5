"""One page's worth of a launch day's header: its fields, and the header that what is typed makes.

A `Plain` part has fixed fields. A `Rows` part is a list: a group of fields for each item and one for another; an item
is taken away by its tick, and faults find their group again although the list has closed up.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from service.models.day import LaunchDay
from service.planning.errors import Fault
from service.planning.quantities import Units
from service.web.forms import Form, FormField
from service.web.organise.in_use import said_by_name

MOST_ROWS = 200
Header = dict[str, Any]
Moved = Callable[[str], str]


@dataclass(frozen=True)
class Group:
    """Fields under one heading. `folded` ones open when wrong or asked to; `opened` ones are open."""

    legend: str
    at: tuple[str, ...]
    note: str = ""
    folded: bool = False
    opened: bool = False


@dataclass(frozen=True)
class Typed:
    """What somebody sent: the form, the header that it makes, and where faults of that header belong in the form."""

    form: Form
    header: Header
    moved: Moved = field(default=lambda pointer: pointer)
    said: tuple[str, ...] = ()
    """Places of which the form tells already what is wrong."""

    def refuse(self, faults: Sequence[Fault], day: LaunchDay) -> None:
        """Put the faults of the header beside their fields; what the rest of the day says against it by its name."""
        moved = [Fault(self.moved(each.pointer), each.found, each.expected) for each in faults]
        self.form.refuse(each for each in said_by_name(moved, day, self.form) if each.pointer not in self.said)


class Part:
    """A page of the organiser. Subclasses say what it holds."""

    slug = ""
    title = ""
    lead = ""
    one = ""
    """What one item of a list is called; empty for a part that is none."""
    has_map = False
    file_words = ""
    """What a file may be sent for; empty: none."""

    def form(self, header: Header, units: Units, zone: str) -> Form:
        """The form with what is kept."""
        raise NotImplementedError

    def read(self, sent: Mapping[str, str], file: bytes, header: Header, units: Units, zone: str) -> Typed:
        """What somebody sent, over the header as it is kept."""
        raise NotImplementedError

    def groups(self, form: Form) -> list[Group]:
        """How the fields stand on the page."""
        raise NotImplementedError


class Plain(Part):
    """Fixed fields."""

    headings: tuple[tuple[str, str, str], ...] = ()
    """Legend, the pointers' common beginning, and a note."""

    def fields(self, header: Header) -> tuple[FormField, ...]:
        """The fields; the header is as it is kept."""
        raise NotImplementedError

    def shown(self, header: Header) -> Header:
        """The header as the form shows it."""
        return header

    def made(self, document: Header, form: Form, kept: Header) -> Header:
        """The header from what was typed; says what is wrong in the form."""
        return document

    def cleared(self, header: Header) -> Header:
        """The header without what empty fields stand for."""
        return header

    def form(self, header: Header, units: Units, zone: str) -> Form:
        return Form.filled(self.fields(header), self.shown(deepcopy(header)), units, zone)

    def read(self, sent: Mapping[str, str], file: bytes, header: Header, units: Units, zone: str) -> Typed:
        form = Form.read(self.fields(header), sent, units, zone)
        self.before(form, file)
        document = form.document(self.cleared(deepcopy(header)))
        return Typed(form, self.made(document, form, header), self.moved)

    def before(self, form: Form, file: bytes) -> None:
        """Put what a file holds into the form."""

    def moved(self, pointer: str) -> str:
        """Where a fault of the header belongs."""
        return pointer

    def groups(self, form: Form) -> list[Group]:
        found: list[Group] = []
        for legend, start, note in self.headings:
            at = tuple(each for each in form.fields if each.startswith(start))
            found.append(Group(legend, tuple(each for each in at if not _taken(each, found)), note))
        return found


class Rows(Part):
    """A list of items."""

    path = ""
    beside: tuple[str, ...] = ()
    """Fields of which one has to be filled in for a row to count."""
    least = 0
    """How many there have to be."""

    def row_fields(self, at: str) -> tuple[FormField, ...]:
        """The fields of the item at a pointer."""
        raise NotImplementedError

    def row_shown(self, row: Any) -> Any:
        """An item as the form shows it."""
        return row

    def row_made(self, row: Header, form: Form, at: str) -> Any:
        """An item from what was typed; says what is wrong in the form."""
        return row

    def called(self, form: Form, at: str) -> str:
        """The heading of an item."""
        return form.typed.get(f"{at}/name", "")

    def kept(self, header: Header) -> list[Any]:
        """The items of a header."""
        here: Any = header
        for step in self.path.strip("/").split("/"):
            here = here[step]
        return list(here)

    def put(self, header: Header, rows: list[Any]) -> Header:
        """The header with other items."""
        *way, last = self.path.strip("/").split("/")
        here = header
        for step in way:
            here = here[step]
        here[last] = rows
        return header

    def form(self, header: Header, units: Units, zone: str) -> Form:
        rows = [self.row_shown(each) for each in self.kept(deepcopy(header))]
        return Form.filled(self._fields(len(rows) + 1), self.put(_empty(self.path), rows), units, zone)

    def read(self, sent: Mapping[str, str], file: bytes, header: Header, units: Units, zone: str) -> Typed:
        count = _count(sent, self.path)
        last_used = any(sent.get(f"{self.path}/{count - 1}/{name}", "").strip() for name in self.beside)
        fields = self._fields(count + ("more" in sent and last_used))
        fresh = {each.at: each.default for each in fields if each.at.startswith(f"{self.path}/{count}/")}
        form = Form.read(fields, {**fresh, **sent}, units, zone)
        rows, places = [], []
        for index, row in enumerate(self.kept(form.document(_empty(self.path)))):
            at = f"{self.path}/{index}"
            if row.pop("remove", False) or not any(form.has(f"{at}/{name}") for name in self.beside):
                for stale in [each for each in form.faults if each.startswith(at + "/")]:
                    del form.faults[stale]
                continue
            rows.append(self.row_made(row, form, at))
            places.append(index)
        if len(rows) < self.least:
            form.general.append(f"found no {self.one}; expected at least one")
        made = self.put(deepcopy(header), rows)
        return Typed(form, made, lambda pointer: self.moved(pointer, places), (self.path,) if form.general else ())

    def moved(self, pointer: str, places: list[int]) -> str:
        """Where a fault of the header belongs, rows that were left out counted in."""
        match = re.fullmatch(rf"{re.escape(self.path)}/(\d+)(.*)", pointer)
        if match is None or int(match[1]) >= len(places):
            return pointer
        return f"{self.path}/{places[int(match[1])]}{match[2]}"

    def groups(self, form: Form) -> list[Group]:
        found = []
        for index in range(_count(form.fields, self.path)):
            at = f"{self.path}/{index}"
            own = tuple(each for each in form.fields if each.startswith(at + "/"))
            new = not any(form.has(f"{at}/{name}") for name in self.beside)
            called = self.called(form, at)
            legend = f"Another {self.one}" if new else f"{self.one.capitalize()} {called}".strip()
            wrong = any(each in form.faults for each in own)
            found.append(Group(legend, own[:-1] if new else own, folded=not wrong))
        return found

    def _fields(self, count: int) -> tuple[FormField, ...]:
        made: list[FormField] = []
        for index in range(min(count, MOST_ROWS)):
            at = f"{self.path}/{index}"
            made += [*self.row_fields(at), FormField(f"{at}/remove", f"Take this {self.one} away", "flag")]
        return tuple(made)


def _count(sent: Mapping[str, Any], path: str) -> int:
    found = (re.match(rf"{re.escape(path)}/(\d{{1,3}})/", name) for name in sent)
    return min(max((int(each[1]) + 1 for each in found if each), default=0), MOST_ROWS)


def _empty(path: str) -> Header:
    made: Any = []
    for step in reversed(path.strip("/").split("/")):
        made = {step: made}
    return made


def _taken(at: str, groups: list[Group]) -> bool:
    return any(at in each.at for each in groups)
