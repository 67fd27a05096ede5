"""The pages' style sheets against WCAG 2.2: text at 7:1 (1.4.6), edges of what is used at 3:1 (1.4.11).

Every colour comes from the theme by the part it plays, so what a rule pairs can be worked out for light and dark.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reports.theme import DARK, LIGHT, TEXT_ROLES, contrast

STATIC = Path(__file__).resolve().parents[2] / "service" / "web" / "static"
SHEETS = sorted(STATIC.glob("*.css"))
NO_COLOUR = re.compile(r"(inherit|none|transparent|currentColor|0|solid|\d+(\.\d+)?px)(\s|$)", re.IGNORECASE)
ROLE = re.compile(r"var\(--rh-([a-z]+)\)")
PAPERS = ("paper", "ghost", "tint")
"""What text lies on where its own rule names no ground: the page, a notice, the strip of the demonstration."""
THEMES = pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])


def rules() -> list[tuple[str, str, dict[str, str]]]:
    """Sheet, selector and declarations of every rule, at-rules opened."""
    found = []
    for sheet in SHEETS:
        text = re.sub(r"/\*.*?\*/", "", sheet.read_text(), flags=re.DOTALL)
        for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", text):
            pairs = (each.partition(":") for each in body.split(";") if ":" in each)
            found.append((sheet.name, selector.strip(), {key.strip(): value.strip() for key, _, value in pairs}))
    return found


RULES = rules()


def test_the_sheets_were_read():
    assert len(SHEETS) >= 3 and len(RULES) > 100
    assert any("background" in declared and "color" in declared for _, _, declared in RULES)


def test_every_colour_is_one_of_the_theme():
    """A colour of its own would be unreadable on dark ground, and outside these tests."""
    strange = []
    for sheet, selector, declared in RULES:
        for name, value in declared.items():
            if name not in ("color", "background", "background-color", "accent-color") and "border" not in name:
                continue
            rest = NO_COLOUR.sub("", ROLE.sub("", value)).replace("!important", "").strip()
            unknown = [role for role in ROLE.findall(value) if role not in LIGHT]
            if "radius" in name or name in ("border-collapse", "border-spacing", "border-width"):
                continue
            if unknown or re.search(r"#|rgb|hsl|[a-z]{3,}", rest):
                strange.append((sheet, selector, name, value))
    assert strange == []


@THEMES
def test_text_holds_seven_to_one_on_the_ground_it_may_lie_on(theme):
    faint = []
    for sheet, selector, declared in RULES:
        inks = ROLE.findall(declared.get("color", ""))
        grounds = ROLE.findall(declared.get("background", "") + declared.get("background-color", ""))
        for ink in inks or (["ink"] if grounds else []):
            for ground in grounds or [each for each in PAPERS if ink != "paper"] or ["stop"]:
                if contrast(theme[ink], theme[ground]) < 7.0:
                    faint.append((sheet, selector, ink, ground, round(contrast(theme[ink], theme[ground]), 2)))
    assert faint == []


@THEMES
def test_links_and_standings_hold_seven_to_one_in_notices_too(theme):
    for ground in PAPERS:
        for ink in TEXT_ROLES:
            assert contrast(theme[ink], theme[ground]) >= 7.0, (ink, ground)


@THEMES
def test_the_edge_of_what_is_filled_in_and_of_what_has_the_focus_can_be_seen(theme):
    edged = [d for _, s, d in RULES if "border" in d and re.search(r"\b(input|select|textarea|button)\b|\.button", s)]
    roles = {role for declared in edged for role in ROLE.findall(declared["border"])}
    focus = [d["outline"] for _, s, d in RULES if ":focus-visible" in s and "outline" in d]
    assert roles and focus
    for role in roles | {role for each in focus for role in ROLE.findall(each)}:
        assert contrast(theme[role], theme["paper"]) >= 3.0, role
