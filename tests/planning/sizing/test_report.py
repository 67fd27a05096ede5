"""The report as the organiser reads it: plain words and units, what is wrong said loudly, no name of the inside."""

from __future__ import annotations

import re

import pytest

from reports.sentences import say
from service.codes.load import all_codes, load
from service.models.sizing import PeopleShare
from service.planning.sizing.picture import inside_said, sizing_shown
from service.planning.sizing.report import sizing_pdf, sizing_report
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.test_size import sized
from tests.reports.golden import page_texts

MPH_MPS = 0.44704  # exact: a mile is 1,609.344 m


@pytest.fixture(scope="module", params=["si", "us"])
def printed(request) -> tuple[str, str]:
    """The units, and every word of the paper."""
    pages = page_texts(sizing_pdf(demo(), sized()[0], "A4", request.param))
    return request.param, re.sub(r"\s+", " ", " ".join(pages).replace("\u00a0", " "))


def answers(found, day=None) -> dict[str, str]:
    return {name: say(text, "si") for name, text in sizing_report(day or demo(), found).answer}


def test_no_rule_is_called_by_its_id(printed):
    ids = {rule.id for code in all_codes() for rule in load(code).rules} | {rule.id for rule in demo().local_rules}
    assert [each for each in sorted(ids) if each in printed[1]] == []
    assert re.findall(r"\b[a-z]+_[a-z_]+\b", printed[1]) == [] and "of kind" not in printed[1]


def test_what_the_codes_ask_for_is_headed_by_where_it_stands(printed):
    for each in sized()[0].dimensions:
        assert each.clause in printed[1], each
    assert "narrowest width" in printed[1]  # heads run over several lines


def test_winds_take_the_readers_units(printed):
    units, text = printed
    limit_mps = sized()[0].hours.limit_mps
    wanted = f"Surface wind up to {limit_mps:.2f} m/s" if units == "si" else f"up to {limit_mps / MPH_MPS:.1f} mph"
    assert wanted in text
    assert "ft/s" not in text and ("mph" in text) == (units == "us")
    assert f"{demo().timezone}; " in text, "hours say whose clock they are of"


@pytest.mark.parametrize(
    ("planned", "said"),
    [(0.0, "under the organiser's limit of 0.1 %"), (0.005, "over the organiser's limit for a caution, 0.1 %"),
     (0.02, "OVER the organiser's limit of 1 %")],
)  # fmt: skip
def test_people_under_the_landings_are_held_against_the_policy(planned, said):
    policy = demo().policy.model_copy(update={"people_caution": 0.001, "people_stop": 0.01})
    found = sized()[0]
    people = PeopleShare(letter="G", planned=planned, ballistic=0.0)
    changed = found.model_copy(update={"pads": found.pads.model_copy(update={"people_now": people})})
    assert said in answers(changed, demo().model_copy(update={"policy": policy}))["As drawn"]


def test_a_distance_that_is_not_kept_and_a_ceiling_too_low_are_said_loudly():
    found = sized()[0]
    one = found.pads.distances[0].model_copy(update={"met_now": False, "found_now_m": 12.0, "limit_m": 91.44})
    low = found.ceiling.model_copy(update={"present_agl_m": 100.0, "apogee_upper_m": 400.0})
    changed = found.model_copy(
        update={"pads": found.pads.model_copy(update={"distances": (one,)}), "ceiling": low}
    )  # fmt: skip
    said = answers(changed)
    told = f"NOT kept: {one.rocket}, {one.words.replace('pad', f'pad {one.pad}', 1)} 12 m, at least 91.4 m asked for"
    assert told in said["As drawn"]
    assert "100 m, is TOO LOW for that" in said["Ceiling"]


def test_page_and_paper_say_the_same(printed):
    units, text = printed
    for name, words in sizing_shown(demo(), sized()[0], units).answer:
        assert f"{name}. {words}".replace("\u00a0", " ") in text


def test_a_share_is_said_as_in_the_grid():
    assert (inside_said(1.0), inside_said(0.98999), inside_said(None)) == ("all", "98.9 %", "UNKNOWN")
