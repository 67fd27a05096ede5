"""The codes in force and the club's own rules."""

from __future__ import annotations

import json
from typing import Any, get_args

from service.codes.load import all_codes, editions
from service.codes.quantities import QUANTITIES
from service.codes.units import UNITS
from service.models.finding import Known
from service.planning.sheet_words import KNOWN_WORDS
from service.web.forms import Form, FormField
from service.web.organise.part import Group, Header, Plain, Rows

SIMPLE = (
    "id", "protects", "kind", "quantity", "at_least", "at_most", "says", "per", "when_broken", "replaces", "reason",
    "unit", "source",
)  # fmt: skip
KINDS = (
    ("computed", "a computed figure is held against a limit"),
    ("measured", "a measured figure is held against a limit"),
    ("attested", "a person answers for it"),
)
PER = (("", "does not matter"), ("day", "once for the day"), ("entry", "for each entry"))
BROKEN = (("", "stop"), ("caution", "caution"))
KNOWN = (("", "not told"), *((each, KNOWN_WORDS[each]) for each in get_args(Known)))
UNIT_WORDS = tuple((name, unit.sign.strip() or "a bare number") for name, unit in UNITS.items())


class Codes(Plain):
    slug, title, lead = "codes", "Codes", "The published codes that apply. A code that is not ticked is not checked."
    headings = (("Codes in force", "/codes/", "Compare each edition with the text in force where you fly."),)

    def fields(self, header: Header) -> tuple[FormField, ...]:
        return tuple(
            FormField(f"/codes/{each.id}", f"{each.title}, edition {each.edition}", "flag")
            for each in editions(list(all_codes()))
        )

    def shown(self, header: Header) -> Header:
        header["codes"] = dict.fromkeys(header["codes"], True)
        return header

    def cleared(self, header: Header) -> Header:
        header["codes"] = {each: True for each in header["codes"]}
        return header

    def made(self, document: Header, form: Form, kept: Header) -> Header:
        document["codes"] = [name for name, chosen in document["codes"].items() if chosen]
        return document

    def moved(self, pointer: str) -> str:
        return "" if pointer.startswith("/codes/") else pointer


class LocalRules(Rows):
    slug, title, path, one, beside = "rules", "Local rules", "/local_rules", "rule", ("id", "text")
    lead = (
        "The club's own rules, held against every flight like those of a code. One that takes the place of a code's"
        " rule and is not plainly the stricter needs a reason, which prints on every sheet."
    )

    def row_fields(self, at: str) -> tuple[FormField, ...]:
        figures = tuple(
            (each.name, f"{each.meaning} [{each.unit}]" if each.unit not in (None, "1") else each.meaning)
            for each in sorted(QUANTITIES.values(), key=lambda each: each.meaning)
            if each.is_number
        )
        return (
            FormField(f"{at}/id", "Short name", help="Small letters and dashes, such as club-field-edge."),
            FormField(f"{at}/protects", "What it protects", help="Such as people on the flight line."),
            FormField(f"{at}/kind", "Kind", "choice", choices=KINDS),
            FormField(f"{at}/quantity", "Figure", "choice", choices=(("", "none"), *figures)),
            FormField(f"{at}/at_least", "At least", "number", optional=True, help="In the figure's unit."),
            FormField(f"{at}/at_most", "At most", "number", optional=True, help="In the figure's unit."),
            FormField(f"{at}/unit", "Unit of these", "choice", choices=(("", "the figure's own"), *UNIT_WORDS)),
            FormField(f"{at}/says", "Its words", optional=True, help="What a person answers for; how it reads."),
            FormField(f"{at}/per", "Answered for", "choice", choices=PER),
            FormField(f"{at}/when_broken", "When broken", "choice", choices=BROKEN),
            FormField(f"{at}/replaces", "Takes the place of", optional=True, help="The short name of a code's rule."),
            FormField(f"{at}/reason", "Reason", optional=True),
            FormField(f"{at}/source/clause", "Where it is written", optional=True, help="Such as Field rules, item 4."),
            FormField(f"{at}/source/edition", "In which edition", optional=True),
            FormField(f"{at}/source/known", "How it is known", "choice", choices=KNOWN),
            FormField(f"{at}/source/checked_on", "Compared on", optional=True, help="Year-month-day."),
            FormField(
                f"{at}/text", "Or the whole rule as JSON", "lines", optional=True,
                help="For a rule that the fields above cannot hold; it then counts alone.",
            ),
        )  # fmt: skip

    def called(self, form: Form, at: str) -> str:
        typed = form.typed[f"{at}/id"]
        if not typed and form.has(f"{at}/text"):
            try:
                typed = str(json.loads(form.typed[f"{at}/text"])["id"])
            except (ValueError, TypeError, KeyError):
                typed = "as JSON"
        return typed

    def row_shown(self, row: Any) -> Any:
        given = {name: value for name, value in row.items() if value not in (None, "", (), [], False)}
        usual = {"weight": "club", "statistic": "nominal", "kind": "computed"}
        extra = {name for name, value in given.items() if name not in SIMPLE and usual.get(name) != value}
        limits = [given.get(name, [0.0]) for name in ("at_least", "at_most")]
        if extra or given.get("when_broken") == "stop" or any(len(x) != 1 or not _plain(x[0]) for x in limits):
            return {"text": json.dumps(given, indent=1, ensure_ascii=False)}
        flat = {name: given[name][0] for name in ("at_least", "at_most") if name in given}
        return {**{name: given[name] for name in SIMPLE if name in given}, **flat}

    def row_made(self, row: Header, form: Form, at: str) -> Any:
        text = row.pop("text", None)
        if text is not None:
            try:
                return json.loads(text)
            except ValueError as error:
                form.add(f"{at}/text", f"found no JSON ({error}); expected an object with the rule's fields")
        return row

    def moved(self, pointer: str, places: list[int]) -> str:
        found = super().moved(pointer, places)
        return f"{found}/id" if found.count("/") == 2 and found.startswith(self.path) else found

    def groups(self, form: Form) -> list[Group]:
        shown = []
        for group in super().groups(form):
            at = group.at[0].rpartition("/")[0]
            if form.has(f"{at}/text") and not form.has(f"{at}/id"):
                own = tuple(each for each in group.at if each.endswith(("/text", "/remove")))
                group = Group(group.legend, own, group.note, group.folded)
            shown.append(group)
        return shown


def _plain(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
