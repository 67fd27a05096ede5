"""Ceilings with their windows; the policy, how often flights fail, and the spreads of the error sources."""

from __future__ import annotations

from typing import Any

from service.planning.error_sources import SOURCES
from service.planning.sheet_words import plain_words
from service.web.forms import Form, FormField
from service.web.organise.part import Header, Plain, Rows

DATUMS = (("agl", "above the field"), ("msl", "above sea level"))
MODES = (
    ("no_deployment", "Nothing comes out"),
    ("drogue_only", "The main stays in"),
    ("main_at_apogee", "The main comes out at the top"),
    ("one_unlit", "One motor of a cluster stays unlit"),
)
THRESHOLDS = (
    ("outside_caution", "Outside the boundary: caution above"),
    ("outside_stop", "Outside the boundary: stop above"),
    ("people_caution", "Among people: caution above"),
    ("people_stop", "Among people: stop above"),
)


class Ceilings(Rows):
    slug, title, path, one, beside = "ceiling", "Ceiling", "/ceiling", "ceiling", ("height_m",)
    least = 1
    lead = "The highest permitted altitude, all day or in windows of time. Where several hold, the highest counts."

    def row_fields(self, at: str) -> tuple[FormField, ...]:
        return (
            FormField(f"{at}/height_m", "Height", "number", quantity="length"),
            FormField(f"{at}/datum", "Counted from", "choice", choices=DATUMS),
            FormField(f"{at}/from", "Window opens", "moment", optional=True),
            FormField(f"{at}/to", "Window closes", "moment", optional=True),
            FormField(
                f"{at}/condition", "On condition of", optional=True, help="Such as a call to the controller before."
            ),
        )

    def kept(self, header: Header) -> list[Any]:
        found = header["ceiling"]
        return list(found) if isinstance(found, list) else [found]

    def put(self, header: Header, rows: list[Any]) -> Header:
        header["ceiling"] = rows
        return header

    def called(self, form: Form, at: str) -> str:
        typed = form.typed
        window = " ".join(
            word
            for word in (
                f"from {typed[f'{at}/from'][-5:]}" if typed[f"{at}/from"] else "",
                f"to {typed[f'{at}/to'][-5:]}" if typed[f"{at}/to"] else "",
            )
            if word
        )
        words = dict(DATUMS).get(typed[f"{at}/datum"], "")
        return f"{typed[f'{at}/height_m']} {form.unit(f'{at}/height_m')} {words} {window}".strip()


class Limits(Plain):
    slug, title = "policy", "Policy"
    lead = "The organiser's own thresholds. A code's limit holds as well, wherever it is the stricter."
    headings = (
        ("Thresholds", "/policy/outside", ""),
        ("", "/policy/people", ""),
        ("After a misfire", "/policy/misfire_wait_s", ""),
        ("Work", "/policy/conditions_max_age_min", ""),
        ("", "/policy/samples", ""),
        ("How often flights fail", "/mode_chances/", "The club's own figures, until its flight log has better."),
        ("Spreads of the error sources", "/policy/spreads/", "One standard deviation each. Leave empty for the usual."),
    )

    def fields(self, header: Header) -> tuple[FormField, ...]:
        return (
            *(
                FormField(f"/policy/{name}", words, "number", unit="%", scale=0.01, needed=True)
                for name, words in THRESHOLDS
            ),
            FormField(
                "/policy/misfire_wait_s", "Nobody approaches for", "number", unit="s", needed=True,
                help="After the last try, interlock or battery out. The NAR codes ask 60 s at the least.",
            ),
            FormField(
                "/policy/conditions_max_age_min", "Conditions are stale after", "number", unit="min", needed=True
            ),
            FormField(
                "/policy/samples", "Flights for each footprint", "whole", needed=True,
                help="A power of two, such as 1024: more is slower and surer.",
            ),
            *(
                FormField(f"/mode_chances/{name}", words, "number", unit="%", scale=0.01, needed=True)
                for name, words in MODES
            ),
            *(_spread(each) for each in SOURCES),
        )  # fmt: skip

    def cleared(self, header: Header) -> Header:
        header["policy"]["spreads"] = {}
        return header

    def groups(self, form: Form) -> list[Any]:
        outside, people, wait, age, samples, modes, spreads = super().groups(form)
        group = type(outside)
        wrong = any(each in form.faults for each in spreads.at)
        return [
            group("Thresholds", (*outside.at, *people.at)),
            wait,
            group("Work", (*age.at, *samples.at)),
            modes,
            group(spreads.legend, spreads.at, spreads.note, folded=not wrong),
        ]


def _spread(source: Any) -> FormField:
    share = source.unit == "fraction"
    usual = f"{100.0 * source.default:g} %" if share else f"{source.default:g} {source.unit}".replace(" °", "°")
    return FormField(
        f"/policy/spreads/{source.name}",
        plain_words(source.meaning)[:1].upper() + plain_words(source.meaning)[1:],
        "number",
        unit="%" if share else source.unit,
        scale=0.01 if share else 1.0,
        optional=True,
        help=f"Usual: {usual}.",
    )
