"""What a place in a document is called on a page: the label of its field where there is one, else plain words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from service.planning.decode import Unreadable, decode

_UNIT = re.compile(r"_(?:m|kg|kgm2|mps|deg|s|hpa|c|um|min|cal|ns|per_rad)$")
_WORDS = {"cg": "balance point", "cp": "centre of pressure", "msl": "above sea level"}
_MANY = {
    "entries": "entry", "motors": "motor", "pads": "pad", "zones": "zone", "recovery": "recovery device",
    "transitions": "change of diameter", "local_rules": "local rule", "codes": "code",
}  # fmt: skip
LONGEST_NAME = 40
_DROPPED = ("airframe", "measured")  # say nothing that the words after them do not
_OF_A_FIELD = ("pads", "zones", "measured", "boundary")  # need no word of whose they are


def place_words(pointer: str, fields: Mapping[str, Any] | None = None) -> str:
    """A place in words.

    Parameters
    ----------
    pointer : str
        Its JSON pointer (RFC 6901). Anything else is given back as it is.
    fields : mapping, optional
        The fields of the form beside it by their pointers; each has a `label`.

    Examples
    --------
    >>> place_words("/rocket/mass_kg"), place_words("/field/pads/0/guide_length_m"), place_words("and 3 more")
    ('rocket, mass', 'pad 1, guide length', 'and 3 more')
    >>> place_words("/field/name"), place_words("/field/measured/airport_distance_m")
    ('field, name', 'airport distance')
    >>> place_words("/entries/e-07/delay_s"), place_words("/entries/6/delay_s")
    ('entry e-07, delay', 'entry 7, delay')
    """
    if not pointer.startswith("/"):
        return pointer
    steps = _steps(pointer)
    known = (fields or {}).get(pointer)
    if known is None:
        return ", ".join(_in_words(steps))
    around = _in_words(steps[:-1], only_numbered=True)
    return f"{known.label} ({', '.join(around)})" if around else str(known.label)


def places_words(pointers: Iterable[str], fields: Mapping[str, Any] | None = None) -> str:
    """Several places in words, each once.

    >>> places_words(("/rocket/mass_kg", "/motor"))
    'rocket, mass; motor'
    """
    return "; ".join(dict.fromkeys(place_words(each, fields) for each in pointers))


def place_in(pointer: str, document: Any) -> str:
    """A place of a whole document in words: what is numbered in it also by its id or name.

    >>> place_in("/entries/0/pad", {"entries": [{"id": "e-07", "pad": "A9"}]})
    'entry 1 (e-07), pad'
    """
    steps, here, called = _steps(pointer), document, []
    for step in steps:
        if isinstance(here, list):
            here = here[int(step)] if step.isdecimal() and int(step) < len(here) else None
        else:
            here = here.get(step) if isinstance(here, dict) else None
        name = (here.get("id") or here.get("name")) if isinstance(here, dict) else None
        called.append(name if isinstance(name, str) and name.isprintable() and len(name) <= LONGEST_NAME else "")
    return ", ".join(_in_words(steps, called=called))


def as_read(data: bytes) -> Any:
    """What a file holds, for `place_in`; None where it is no document."""
    try:
        return decode(data)[0]
    except Unreadable:
        return None


def _steps(pointer: str) -> list[str]:
    return [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]


def _in_words(steps: list[str], only_numbered: bool = False, called: Sequence[str] = ()) -> list[str]:
    said: list[str] = []
    names = [*called[1:], *[""] * len(steps)]  # of what comes after each step
    for before, step, following, name in zip(["", *steps], steps, [*steps[1:], ""], names, strict=False):
        if step.isdecimal():
            continue
        if before == "entries":  # by its id
            said[-1:] = [f"entry {step}"]
            continue
        numbered = following.isdecimal()
        dropped = step in _DROPPED or (step == "field" and following in _OF_A_FIELD)
        if not numbered and (dropped or only_numbered):
            continue
        words = _MANY.get(step) or _named(step)
        said.append((f"{words} {int(following) + 1}" + f" ({name})" * bool(name)) if numbered else words)
    return said


def _named(step: str) -> str:
    bare = _UNIT.sub("", step).removesuffix("_from_nose")
    return " ".join(_WORDS.get(word, word) for word in bare.split("_"))
