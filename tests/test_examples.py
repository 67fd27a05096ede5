"""Every example in a docstring runs and gives what it says."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
WITH_EXAMPLES = sorted(
    path.relative_to(ROOT).with_suffix("").as_posix().replace("/", ".").removesuffix(".__init__")
    for package in ("service", "geo", "reports")
    for path in (ROOT / package).rglob("*.py")
    if ">>>" in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_the_examples_hold(name):
    found = doctest.testmod(importlib.import_module(name))
    assert found.attempted > 0 and found.failed == 0


def test_there_are_examples_in_every_package():
    assert {name.split(".")[0] for name in WITH_EXAMPLES} >= {"service", "geo"}
