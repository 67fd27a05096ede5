"""How the pad is to be set, in one line."""

from __future__ import annotations

from xml.sax.saxutils import escape

from reportlab.platypus import Flowable, Paragraph

from reports.amounts import Amount
from reports.figures import UNKNOWN, Units, amount_text
from reports.pages import stationery as paper
from reports.pages.stationery import words
from reports.sentences import say
from reports.sheet_data import PadSettings
from reports.tied import tied
from reports.typeface import clip, printable


def settings_lines(settings: PadSettings | None, units: Units) -> list[Flowable]:
    """Pad, guide, tilt and delay, each value bold behind its name; then the notes."""
    if settings is None:
        return [words(f"Pad settings {UNKNOWN}: no pad was chosen", paper.LOUD)]
    length = amount_text(Amount(settings.guide_length_m, "length"), units)
    if settings.guided_travel_m is not None:
        length += f", holding for {amount_text(Amount(settings.guided_travel_m, 'length'), units)}"
    named = (
        ("Pad", settings.pad),
        ("guide", f"{settings.guide}, {length}"),
        ("tilt", _tilt(settings, units)),
        ("delay", settings.delay or UNKNOWN),
    )
    parts = [f"{_text(name)} <b>{_text(clip(value, 60))}</b>" for name, value in named]
    notes = " ".join(say(note, units) for note in settings.notes)
    return [Paragraph(" · ".join(parts) + (f". {_text(clip(notes, 300))}" if notes else ""), paper.SETTING)]


def _tilt(settings: PadSettings, units: Units) -> str:
    tilt = amount_text(Amount(settings.tilt_deg, "angle"), units)
    if settings.tilt_deg == 0.0:
        return f"{tilt}, upright"
    return f"{tilt} toward {amount_text(Amount(settings.azimuth_deg, 'angle'), units)} true"


def _text(text: str) -> str:
    return escape(tied(printable(text)))
