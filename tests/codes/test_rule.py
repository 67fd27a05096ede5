"""The form of a rule survives being written down and read again."""

import json

import pytest

from service.codes.rulebook import rulebook
from service.models.finding import Finding
from service.models.rule import Rule
from tests.codes.samples import ALL_CODES, HIGH_POWER, finding


@pytest.mark.parametrize("each", rulebook(ALL_CODES).rules, ids=lambda each: each.rule.id)
def test_a_rule_written_and_read_again_is_the_same(each):
    written = each.rule.model_dump_json(exclude_none=True)
    assert '"when"' not in written and '"otherwise"' not in written
    assert Rule.model_validate_json(written) == each.rule


def test_a_finding_written_and_read_again_is_the_same():
    found = finding("us-hpr-distance", HIGH_POWER | {"category": "high_power", "people_distance_m": float("nan")})
    assert found.standing == "unknown"
    assert Finding.model_validate_json(found.model_dump_json()) == found


def test_the_form_has_a_schema_of_its_own():
    schema = json.dumps(Rule.model_json_schema())
    assert '"larger_of"' in schema and '"if"' in schema
