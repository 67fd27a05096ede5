"""What a log teaches, as lines for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from reports.figures import Units
from service.models.learning import Learning, RocketLearning
from service.planning.learning import wording
from service.planning.learning.learn import left_out
from service.planning.table import WIDTH


def learning_lines(found: Learning, units: Units = "si") -> Iterator[str]:
    """The answer first, then each rocket, landing points, endings, what is left out and what is put forward."""
    for line in _lines(found, units):
        indent = " " * (len(line) - len(line.lstrip()) + 4)
        yield from textwrap.wrap(line, WIDTH, subsequent_indent=indent, break_on_hyphens=False) or [""]


def _lines(found: Learning, units: Units) -> Iterator[str]:
    yield f"{found.day}: {len(found.flights)} flights of the log"
    yield found.words
    yield found.recorded_words
    yield ""
    yield "Apogee, measured against estimated:"
    for each in (*found.rockets, found.overall):
        yield f"  {each.rocket or 'All rockets'}: {wording.figures_words(each)}. {each.words}"
        yield from _more(each, units)
    yield "Landing point, measured less estimated:"
    landing = found.landing
    yield f"  {wording.landing_words(landing.flights, landing.along_m, landing.across_m, units)}"
    for what, scatter in (("along", landing.along), ("across", landing.across)):
        if scatter is not None:
            yield f"  {wording.scatter_words(f'landing point {what} the wind', scatter, units)}"
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
        for own in proposal.apart:
            yield f"      {own.rocket}: {own.evidence}"
        for words in (proposal.direction, proposal.moved_words):
            if words:
                yield f"      {words}"
        for entry in proposal.moved or ():
            for finding in entry.findings:
                yield f"        {entry.entry} {entry.rocket}: {wording.finding_moved_words(finding)}."
    yield from found.notes


def _more(each: RocketLearning, units: Units) -> Iterator[str]:
    if each.difference_m is not None and each.flights:
        yield f"      Measured less estimated: {wording.difference_words(each.difference_m, units)}."
    if each.scatter is not None:
        yield f"      {wording.scatter_words('apogee from flight to flight', each.scatter)}"
