"""Which databases the pages and the API were tried on: one line that says so where PostgreSQL is missing."""

from __future__ import annotations

import pytest

from tests.store.server import why_not
from tests.web.conftest import DATABASES


def test_the_suite_ran_on_both_databases(store):
    if "postgresql" not in DATABASES:
        pytest.skip(f"pages and API were tried on SQLite only: {why_not()}")
    assert store.health().backend in DATABASES and len(DATABASES) == 2
