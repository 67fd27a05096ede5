"""Colours against WCAG 2.2: the enhanced contrast of success criterion 1.4.6 is 7:1."""

import pytest

from reports.theme import DARK, LIGHT, TEXT_ROLES, contrast, luminance


def test_the_formula_gives_the_published_values():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.2, definition of contrast ratio
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)  # widely printed edge of 4.5:1, recalled
    assert luminance("#ff0000") == pytest.approx(0.2126)  # WCAG 2.2, definition of relative luminance


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("role", TEXT_ROLES)
def test_text_holds_seven_to_one_on_paper_and_over_the_unsigned_mark(theme, role):
    assert contrast(theme[role], theme["paper"]) >= 7.0
    assert contrast(theme[role], theme["ghost"]) >= 7.0


def test_both_themes_name_the_same_parts():
    assert LIGHT.keys() == DARK.keys()
