"""The JSON Schema of the launch-day document, against the draft's own metaschema."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from service.models.schema import document_schema
from tests.builders import small_day

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
RULE_WORDS = {"Rule", "Term", "Band", "Condition", "Source"}  # described as a whole, in the form of the rules


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return document_schema()


def fields(schema: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for owner, node in {"LaunchDay": schema, **schema["$defs"]}.items():
        if owner not in RULE_WORDS:
            yield from ((f"{owner}.{name}", inner) for name, inner in node.get("properties", {}).items())


def test_it_is_a_schema_of_draft_2020_12(schema):
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)
    json.dumps(schema)


def test_good_documents_conform(schema):
    validator = Draft202012Validator(schema)
    validator.validate(small_day())
    for path in FIXTURES.glob("*.json"):
        validator.validate(json.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("name",), 3),
        (("colour",), "blue"),
        (("field", "elevation_m"), 9000),
        (("motors", 0, "delays"), {"kind": "plugged", "seconds": [3]}),
        (("ceiling",), []),
        (("entries", 0, "rocket", "mass_kg"), "0.06"),
        (("field", "pads", 0, "position"), [0.0, 95.0]),
    ],
)
def test_broken_documents_do_not(schema, path, value):
    document = deepcopy(small_day())
    node: Any = document
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    with pytest.raises(ValidationError):
        Draft202012Validator(schema).validate(document)


def test_every_field_is_described(schema):
    assert [name for name, node in fields(schema) if not node.get("description")] == []


def test_every_field_named_with_a_unit_says_it(schema):
    units = {
        "_m": "[m", "_kg": "[kg]", "_s": "[s]", "_deg": "[degrees", "_mps": "[m/s]", "_c": "[degrees Celsius]",
        "_hpa": "[hPa]", "_um": "[micrometres]", "_kgm2": "[kg m2]", "_min": "[minutes]", "_per_rad": "[per radian]",
    }  # fmt: skip
    missing = [
        name
        for name, node in fields(schema)
        for ending, unit in units.items()
        if name.split(".")[1].endswith(ending) and unit not in node["description"]
    ]
    assert missing == []
