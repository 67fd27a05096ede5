"""What entries and ticks hold against a changed header: each by its name, with what to do about it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from service.models.day import LaunchDay
from service.planning.errors import Fault
from service.web.forms import Form

PADS = "/field/pads"
_ENTRY = re.compile(r"/entries/(\d+)(/.*)?")
_TICK = re.compile(r"(?:/entries/(\d+))?/attestations/([^/]+)")
MOST_NAMED = 12


def said_by_name(faults: Sequence[Fault], day: LaunchDay, form: Form) -> list[Fault]:
    """The faults of a header that was held against its day, fit for its form.

    Parameters
    ----------
    faults : sequence of Fault
        Pointers count from the document's root; entries by their place in it.
    day : LaunchDay
        The day as it is kept.
    form : Form
        What was typed; its rows are those of the header as it is kept, in the same order.
    """
    left: list[Fault] = []
    flown: dict[str, list[str]] = {}
    ticked: dict[str, list[str]] = {}
    for fault in faults:
        entry, tick = _ENTRY.fullmatch(fault.pointer), _TICK.match(fault.pointer)
        if tick:
            ticked.setdefault(tick[2], []).append(day.entries[int(tick[1])].id if tick[1] else "the day")
        elif entry and entry[2] == "/pad":
            found = day.entries[int(entry[1])]
            flown.setdefault(found.pad, []).append(found.id)
        elif entry:
            left.append(Fault(f"/entries/{day.entries[int(entry[1])].id}{entry[2] or ''}", fault.found, fault.expected))
        else:
            left.append(fault)
    return [*left, *_pads(flown, day, form), *_ticks(ticked)]


def _pads(flown: dict[str, list[str]], day: LaunchDay, form: Form) -> Iterable[Fault]:
    rows = {pad.name: f"{PADS}/{index}" for index, pad in enumerate(day.field.pads)}
    for name, entries in flown.items():
        at, fly = rows.get(name, PADS), "flies" if len(entries) == 1 else "fly"
        whose = "it" if len(entries) == 1 else "them"
        do = f"put {whose} on another pad first, on the page Pads"
        if form.has(f"{at}/remove"):
            found = f"this pad taken away, while {listed(entries)} {fly} from it"
            yield Fault(f"{at}/remove", found, f"the pad kept; or {do}")
        else:
            found = f'another name, while {listed(entries)} {fly} from "{name}"'
            yield Fault(f"{at}/name", found, f'"{name}" kept; or {do}')


def _ticks(ticked: dict[str, list[str]]) -> Iterable[Fault]:
    for rule, of in ticked.items():
        found = f'"{rule}" no longer asked for, while it is ticked for {listed(of)}'
        yield Fault("", found, "the code or rule that asks for it kept; or take the tick back first")


def listed(names: Sequence[str]) -> str:
    """Names in a sentence; many are counted.

    >>> listed(["e-01"]), listed(["e-01", "e-02", "e-04"])
    ('e-01', 'e-01, e-02 and e-04')
    """
    shown = list(names[:MOST_NAMED])
    if len(names) > MOST_NAMED:
        shown = [*shown[:-1], f"{len(names) - MOST_NAMED + 1} more"]
    return (", ".join(shown[:-1]) + " and " if len(shown) > 1 else "") + shown[-1]
