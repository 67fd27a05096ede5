"""The whole loop: flights with a known drag go in, that drag comes out, and correcting by it removes the bias.

The truth is the factor that the flights were made with, outside the code under test; their errors are drawn by the
tests' own generator (`synthetic`).
"""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest

from service.planning.advise.errors import AdviceStopped
from service.planning.learning.cases import cases_of
from service.planning.learning.drag import factor_bounds
from service.planning.learning.errors import NothingToLearn
from service.planning.learning.learn import learn, left_out
from service.planning.learning.proposals import accepted, by_id
from service.planning.learning.reflights import Reflights
from tests.planning.learning.logs import BITTERN, HERON, PLOVER, REED, as_log, changed, demo_day, planned
from tests.planning.learning.synthetic import Errors

TRUTH = 1.15


@pytest.fixture(scope="module")
def log():
    """Twelve flights of one rocket, one with a slip of its altimeter, and three of another."""
    own = planned(REED, 12, TRUTH, seed=4)
    own[3] = changed(own[3], apogee_m=1.35 * own[3].apogee_m)
    return as_log(own, planned(HERON, 3, TRUTH, seed=5))


@pytest.fixture(scope="module")
def found(log):
    return learn(demo_day(), cases_of(demo_day(), log), samples=32)


def of(learning, rocket):
    return next(each for each in learning.rockets if each.rocket == rocket)


def test_the_true_factor_lies_in_the_interval(found):
    factor = of(found, "Reed 41").factor
    assert factor.low < TRUTH < factor.high and not factor.low < 1.0 < factor.high
    assert factor.flights == 11 and factor.in_force == 1.0
    proposal = by_id(found.proposals, "drag-reed-41")
    assert proposal.values == {"drag_factor": factor.factor} and proposal.before == {"drag_factor": 1.0}


def test_the_slip_is_left_out_and_said(found):
    ((flight, why),) = [(each, why) for each, why in left_out(found) if each.rocket == "Reed 41"]
    assert "odd one out" in why and flight.measured_m > 1.2 * flight.estimated_m


def test_with_the_slip_counted_the_factor_would_be_wrong(log, found):
    """What leaving it out is for: the same flights with it give another factor."""
    flights = Reflights(cases_of(demo_day(), log), 16, 1)
    own = [[number] for number, case in enumerate(flights.cases) if case.rocket == "Reed 41"]
    bounds = factor_bounds(flights, own)
    assert bounds is not None and bounds.estimate < of(found, "Reed 41").factor.factor - 0.03


def test_too_few_say_so(found):
    few = of(found, "Long Heron")
    assert few.factor is None and few.flights == 3 and few.ratio is not None
    assert few.words == "Too few: 2 more needed for a proposal."
    assert not [each for each in found.proposals if each.rocket == "Long Heron"]
    assert found.overall.factor is None and "3 rockets are needed, 2 counted" in found.overall.words


def test_the_correction_removes_the_bias(log, found):
    """With it in force the mean ratio is 1 to what the third decimal of the factor gives: 0.0005 × 0.4 = 0.02 %."""
    proposal = by_id(found.proposals, "drag-reed-41")
    day = accepted(demo_day(), proposal, "Organiser", datetime(2027, 5, 14, tzinfo=UTC))
    again = learn(day, cases_of(day, log), samples=32)
    now = of(again, "Reed 41")
    assert abs(now.ratio.estimate - 1.0) < 3e-4 and abs(of(found, "Reed 41").ratio.estimate - 1.0) > 0.03
    assert now.factor.in_force == proposal.values["drag_factor"]
    assert not [each for each in again.proposals if each.rocket == "Reed 41"]
    assert of(again, "Long Heron").ratio == of(found, "Long Heron").ratio  # another rocket's correction bears not


def test_the_interval_holds_the_truth_as_often_as_it_says():
    """25 logs of 8 flights: of 95 % intervals fewer than 20 hold the truth with a chance of 0.1 % (binomial)."""
    held = 0
    for seed in range(25):
        cases = cases_of(demo_day(), as_log(planned(REED, 8, TRUTH, seed=100 + seed)))
        bounds = factor_bounds(Reflights(cases, 16, 1), [[number] for number in range(8)])
        held += bounds is not None and bounds.holds(TRUTH)
    assert held >= 20


def test_all_rockets_together_count_once_each():
    """Rockets whose drag is off by different factors: the interval for all spans rockets, not flights."""
    truths = {REED: 1.30, HERON: 1.10, PLOVER: 1.20, BITTERN: 1.16}
    quiet = Errors(impulse=0.005, wind_speed=0.02, wind_deg=2.0, tilt_deg=0.2)
    log = as_log(*(planned(entry, 6, drag, 9, quiet) for entry, drag in truths.items()))
    found = learn(demo_day(), cases_of(demo_day(), log), samples=16)
    factor = found.overall.factor
    assert factor.low < sum(truths.values()) / 4 < factor.high
    widths = {each.rocket: each.factor.high - each.factor.low for each in found.rockets}
    assert factor.high - factor.low > 2.0 * max(widths.values())
    assert by_id(found.proposals, "drag-all").rocket is None


def test_the_same_answer_twice_whatever_the_order(log, found):
    shuffled = log.model_copy(update={"flights": tuple(reversed(log.flights))})
    assert learn(demo_day(), cases_of(demo_day(), shuffled), samples=32) == found


def test_progress_and_calling_off(log):
    told: list[tuple[int, int, str]] = []
    asked = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 120

    cases = cases_of(demo_day(), log)
    with pytest.raises(AdviceStopped, match="nothing was changed"):
        learn(demo_day(), cases, samples=32, progress=lambda *step: told.append(step), should_stop=stop)
    assert told and all(0 < done < total for done, total, _ in told) and told == sorted(told, key=lambda each: each[0])


def test_an_empty_log_is_refused():
    with pytest.raises(NothingToLearn, match="holds no flight"):
        learn(demo_day(), [])


def test_without_any_drag_error_nothing_is_put_forward():
    cases = cases_of(demo_day(), as_log(planned(REED, 8, 1.0, seed=21)))
    found = learn(demo_day(), cases, samples=32)
    assert not [each for each in found.proposals if each.kind == "drag"]
    assert math.isclose(of(found, "Reed 41").ratio.estimate, 1.0, abs_tol=0.03)
