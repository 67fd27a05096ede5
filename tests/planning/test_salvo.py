"""Several launched at once, against the printed distances of the codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.models.assessment import Assessment, Spread
from service.models.day import LaunchDay
from service.planning.ground import ground_of
from service.planning.salvo import salvo_findings

DEMO = Path(__file__).parents[2] / "fixtures" / "heron_meadow.json"


@pytest.fixture(scope="module")
def day() -> LaunchDay:
    return LaunchDay.model_validate(json.loads(DEMO.read_text()))


class Topped:
    """As much of an assessment as the rules about several at once ask: an apogee."""

    def __init__(self, apogee_m: float) -> None:
        self.estimate = _Figures(apogee_m)


class _Figures:
    def __init__(self, apogee_m: float) -> None:
        self._apogee = Spread(nominal=apogee_m, p05=apogee_m, p95=apogee_m)
        self.damping_ratio = None

    def __getattr__(self, name: str) -> Spread:
        return self._apogee if name == "apogee_m" else Spread(nominal=None)


def together(day: LaunchDay, ids: list[str], apogee_m: float | None) -> dict[str, dict[str, tuple]]:
    top: Assessment | None = Topped(apogee_m) if apogee_m is not None else None  # type: ignore[assignment]
    lines = salvo_findings(day, ground_of(day), [(day.entry_by_id(each), top) for each in ids])
    return {line.entry_id: {each.rule: (each.limit, each.standing) for each in line.findings} for line in lines}


def test_two_at_once_change_nothing(day):
    """Neither code speaks of two (NAR model code item 5: more than ten; NFPA 1127 4.16.3.3: three or more)."""
    assert together(day, ["e-01", "e-02"], 100.0) == {"e-01": {}, "e-02": {}}


def test_ten_models_are_few_and_eleven_many(day):
    """NAR Model Rocket Safety Code, item 5: with more than ten at once, 1.5 times the highest apogee."""
    ids = [f"e-{number:02d}" for number in range(1, 12)]
    assert not any(together(day, ids[:10], 100.0).values())
    for entry, found in together(day, ids, 100.0).items():
        limit_ft, standing = found["us-mr-mass-launch"]
        assert limit_ft == pytest.approx(150.0 / 0.3048), entry
        assert standing in ("clear", "stop", "caution"), entry


def test_three_high_power_rockets_at_once(day):
    """NFPA 1127 4.16.3.3: the lesser of twice the complex distance of the total impulse, 2000 ft, 1.5 times apogee."""
    ids = ["e-15", "e-16", "e-17"]
    total_ns = sum(day.motor_by_id(day.entry_by_id(each).motor).impulse_ns for each in ids)
    assert 1280.0 < total_ns <= 2560.0, "the K row of the table: 300 ft for complex rockets"
    for found in together(day, ids, 900.0).values():
        assert found["us-hpr-mass-launch"][0] == pytest.approx(600.0), "twice 300 ft; 1.5 x 900 m and 2000 ft are more"


def test_an_unknown_apogee_clears_nothing(day):
    found = together(day, [f"e-{number:02d}" for number in range(1, 12)], None)
    assert {each["us-mr-mass-launch"] for each in found.values()} == {(None, "unknown")}
