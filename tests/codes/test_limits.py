"""Limits made of several terms, and conditions with three answers (Kleene's strong logic, 1938)."""

import math

import pytest

from service.codes.facts import Reader
from service.codes.limits import amount, holds, least, most
from service.codes.tables import Table
from service.models.finding import Source
from service.models.rule import Condition, Term

SOURCE = Source(clause="made up for this test", known="derived")
STEPS = Table.model_validate({
    "id": "steps", "key": "impulse_ns", "key_unit": "N*s", "unit": "ft", "source": SOURCE,
    "rows": [{"up_to": 10, "cells": {"near": 100, "far": 200}},
             {"up_to": 20, "cells": {"near": 300, "far": "case_by_case"}}],
})


def value(term, unit="ft", **facts):
    return amount(Term.model_validate(term), unit, Reader(facts), {"steps": STEPS}).value


def test_a_number_in_another_unit_of_the_same_kind():
    assert value({"value": 0.3048, "unit": "m"}) == pytest.approx(1.0)


def test_a_part_of_another_quantity():
    assert value({"times": 0.25, "of": "apogee_m"}, "m", apogee_m=2000.0) == 500.0


@pytest.mark.parametrize("impulse_ns, near", [(0.01, 100.0), (10.0, 100.0), (10.01, 300.0), (20.0, 300.0),
                                              (20.01, None), (0.0, None), (-1.0, None), (math.nan, None), (None, None)])
def test_a_row_is_picked_up_to_and_with_its_border(impulse_ns, near):
    assert value({"table": "steps", "column": "near"}, impulse_ns=impulse_ns) == near


def test_a_cell_left_to_a_person():
    found = amount(Term(table="steps", column="far"), "ft", Reader({"impulse_ns": 15.0}), {"steps": STEPS})
    assert found.value is None and found.case_by_case


def test_the_larger_and_the_smaller_of_several():
    both = [Term(of="apogee_m"), 457.0]
    assert most(both, "m", Reader({"apogee_m": 500.0}), {}).value == 500.0
    assert least(both, "m", Reader({"apogee_m": 500.0}), {}).value == 457.0
    for nothing in (None, math.nan):
        assert most(both, "m", Reader({"apogee_m": nothing}), {}).value is None
        assert least(both, "m", Reader({"apogee_m": nothing}), {}).value is None


def test_terms_nest():
    nested = {"larger_of": [10, {"smaller_of": [30, {"if": {"sparking": True}, "then": 20, "else": 40}]}]}
    assert value(nested, sparking=True) == 20.0
    assert value(nested, sparking=False) == 30.0
    assert value(nested) is None


YES, NO, NOT_KNOWN = {"sparking": True}, {"sparking": False}, {"hybrid": True}


@pytest.mark.parametrize("condition, answer", [
    ({"all": [YES, YES]}, True), ({"all": [YES, NO]}, False), ({"all": [YES, NOT_KNOWN]}, None),
    ({"all": [NO, NOT_KNOWN]}, False),
    ({"any": [NO, YES]}, True), ({"any": [NO, NO]}, False), ({"any": [NO, NOT_KNOWN]}, None),
    ({"any": [YES, NOT_KNOWN]}, True),
    ({"none": [YES]}, False), ({"none": [NO]}, True), ({"none": [NOT_KNOWN]}, None),
    ({"none": [NO, YES]}, False), ({}, True),
    ({"sparking": True, "hybrid": True}, None), ({"sparking": False, "hybrid": True}, False),
])
def test_three_answers(condition, answer):
    assert holds(Condition.model_validate(condition), Reader({"sparking": True}), {}) is answer


@pytest.mark.parametrize("band, answers", [
    ({"over": 10}, [False, False, True]), ({"at_least": 10}, [False, True, True]),
    ({"up_to": 10}, [True, True, False]), ({"below": 10}, [True, False, False]),
    ({"over": 5, "below": 10}, [True, False, False]),
])
def test_bands_and_their_borders(band, answers):
    condition = Condition.model_validate({"impulse_ns": band})
    assert [holds(condition, Reader({"impulse_ns": x}), {}) for x in (9.99, 10.0, 10.01)] == answers
    assert holds(condition, Reader({"impulse_ns": math.nan}), {}) is None


def test_true_is_not_one():
    assert holds(Condition.model_validate({"motor_count": 1}), Reader({"motor_count": True}), {}) is None
    assert holds(Condition.model_validate({"motor_count": [1, 2]}), Reader({"motor_count": 2}), {}) is True


def test_what_the_answer_did_not_hang_on_is_not_asked_for():
    reader = Reader({"sparking": True})
    holds(Condition.model_validate({"any": [YES, NOT_KNOWN]}), reader, {})
    assert reader.missing() == ""
    holds(Condition.model_validate(NOT_KNOWN), reader, {})
    assert "hybrid" in reader.missing()
