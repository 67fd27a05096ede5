"""What a log teaches, as lines for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from service.models.learning import Learning, RocketLearning
from service.planning.learning import wording
from service.planning.learning.learn import left_out
from service.planning.table import WIDTH


def learning_lines(found: Learning) -> Iterator[str]:
    """The answer first, then each rocket, then what is put forward, then every flight."""
    for line in _lines(found):
        indent = " " * (len(line) - len(line.lstrip()) + 4)
        yield from textwrap.wrap(line, WIDTH, subsequent_indent=indent, break_on_hyphens=False) or [""]


def _lines(found: Learning) -> Iterator[str]:
    yield f"{found.day}: {len(found.flights)} flights of the log"
    yield found.words
    yield found.recorded_words
    yield ""
    yield "Apogee, measured against estimated:"
    for each in (*found.rockets, found.overall):
        yield f"  {each.rocket or 'All rockets, each counting once'}: {each.words}"
        yield from _more(each)
    yield "Landing point, measured less estimated:"
    yield f"  {found.landing.words}"
    for what, scatter in (("along", found.landing.along), ("across", found.landing.across)):
        if scatter is not None:
            yield f"  {wording.scatter_words(f'landing point {what} the wind', scatter, 'm')}"
    yield "How flights ended:"
    for mode in found.modes:
        yield f"  {wording.MODE_WORDS[mode.mode]}: {mode.words}"
    out = left_out(found)
    yield f"Left out: {len(out) or 'nothing'}{'' if out else ' that was measured'}"
    for flight, why in out:
        yield f"  {flight.label}  {flight.rocket}: {why}"
    yield ""
    if found.proposals:
        yield "Put forward; nothing changes until the organiser accepts it (--apply ID --by NAME):"
    else:
        yield "Nothing is put forward."
    for proposal in found.proposals:
        yield f"  {proposal.id}: {proposal.words}"
        yield f"      {proposal.evidence}"
    yield from found.notes


def _more(each: RocketLearning) -> Iterator[str]:
    if each.difference_m is not None and each.flights:
        yield f"      {wording.difference_words(each.difference_m)}"
    if each.scatter is not None:
        yield f"      {wording.scatter_words('apogee from flight to flight', each.scatter, '%')}"
