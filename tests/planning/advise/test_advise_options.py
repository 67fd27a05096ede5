"""What the advising commands hand to planning; nothing is flown here."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from service.planning.advise import fixes, ladder
from tests.planning.advise.few_flights import DEMO


class Reached(Exception):
    """The work was asked for."""


@pytest.mark.parametrize(("options", "adapters", "reloads"), [
    ((), True, None), (("--no-adapters",), False, None), (("--reloads",), True, True), (("--no-reloads",), True, False),
])  # fmt: skip
def test_adapters_and_reloads_are_asked_for(monkeypatch, options, adapters, reloads):
    from service.job_commands import advise

    asked = []

    def made(*_, **given):
        asked.append((given["adapters"], given["reloads"]))
        if len(asked) == 2:
            raise Reached

    monkeypatch.setattr(ladder, "motor_ladder", made)
    monkeypatch.setattr(fixes, "fixes_for", made)
    monkeypatch.setattr("service.planning.assess.assess_entry", lambda *_, **__: None)
    done = CliRunner().invoke(advise, [str(DEMO), "--entry", "e-02", *options])
    assert isinstance(done.exception, Reached), done.output
    assert asked == [(adapters, reloads)] * 2
