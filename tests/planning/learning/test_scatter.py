"""Scatter against prediction: a spread that is too wide, too narrow, right; and what an odd flight may do to it.

The flights are made with known errors (`synthetic`), so which spread is right is known outside the code.
"""

from __future__ import annotations

import pytest

from service.planning.learning.cases import cases_of
from service.planning.learning.compare import see
from service.planning.learning.reflights import Reflights
from service.planning.learning.scatter import ACROSS, ALONG, APOGEE, better_spreads, judged, sample_of, scatter_of
from service.planning.learning.wording import scatter_words
from tests.planning.learning.logs import HERON, REED, as_log, changed, demo_day, planned
from tests.planning.learning.synthetic import Errors

SAMPLES = 128


def flown(*lines):
    flights = Reflights(cases_of(demo_day(), as_log(*lines)), SAMPLES, 1)
    return flights, see(flights, (), {})


@pytest.fixture(scope="module")
def wild():
    """Motors that scatter by 9 %, three times the default."""
    return flown(planned(REED, 14, 1.0, 41, Errors(impulse=0.09)))


@pytest.fixture(scope="module")
def tame():
    """Hardly any wind error: the default draws 15 % and 10°."""
    quiet = Errors(wind_speed=0.02, wind_deg=1.0, tilt_deg=0.3)
    return flown(planned(REED, 10, 1.0, 32, quiet), planned(HERON, 5, 1.2, 33, quiet))


def test_a_spread_that_is_too_narrow_is_widened(wild):
    scatter, values, count = better_spreads(*wild, APOGEE, {})
    assert scatter.chi_square > scatter.by_chance_high and count == 14
    assert 0.06 < values["impulse"] < 0.14  # the truth is 0.09; a deviation of 14 is known to about 20 %
    again = scatter_of(wild[0], sample_of(*wild, APOGEE, values), APOGEE, values)
    assert not again.differs and again.chi_square == pytest.approx(again.freedom, rel=0.1)


def test_the_intervals_of_scatter_hold_the_prediction_or_say_so(wild):
    scatter = scatter_of(wild[0], sample_of(*wild, APOGEE, {}), APOGEE, {})
    assert scatter.differs and not scatter.measured.low <= scatter.predicted <= scatter.measured.high


def test_a_spread_that_is_too_wide_goes_no_lower_than_the_interval(tame):
    for axis in (ALONG, ACROSS):
        found = better_spreads(*tame, axis, {})
        if found is None:
            continue
        scatter, values, _ = found
        assert scatter.chi_square < scatter.by_chance_low
        again = scatter_of(tame[0], sample_of(*tame, axis, values, with_odd=True), axis, values)
        assert again.chi_square == pytest.approx(again.by_chance_low, rel=0.15)
    assert better_spreads(*tame, ALONG, {}) is not None  # 0.15 of the wind drawn, 0.02 true


def test_rockets_with_different_biases_do_not_widen_the_scatter(tame):
    """Two rockets, their drag off by 1.0 and 1.2: scatter is counted about each rocket's own mean."""
    sample = sample_of(*tame, APOGEE, {})
    assert sample.freedom == len(sample.values) - 2
    means = [
        sum(v for v, g in zip(sample.values, sample.groups, strict=True) if g == name)
        for name in ("Reed 41", "Long Heron")
    ]
    assert means[1] / 5 < means[0] / 10 - 0.04
    assert better_spreads(*tame, APOGEE, {}) is None


def test_an_odd_flight_neither_widens_nor_narrows():
    """One slip is left out of what may widen; it is counted in what may narrow."""
    lines = planned(REED, 12, 1.0, 34, Errors(impulse=0.005, tilt_deg=0.2, wind_speed=0.02, altimeter=0.002))
    narrow = better_spreads(*flown(lines), APOGEE, {})
    assert narrow is not None and narrow[1]["impulse"] < 0.03
    lines[5] = changed(lines[5], apogee_m=1.3 * lines[5].apogee_m)
    flights, seen = flown(lines)
    assert sum(each.odd for each in seen) == 1
    assert better_spreads(flights, seen, APOGEE, {}) is None


def test_too_few_flights_make_no_spread():
    flights, seen = flown(planned(REED, 9, 1.0, 35, Errors(impulse=0.2)))
    assert better_spreads(flights, seen, APOGEE, {}) is None
    assert scatter_of(flights, sample_of(flights, seen[:2], APOGEE, {}), APOGEE, {}) is None


def test_what_is_measured_and_what_is_predicted_are_weighed_alike(tame):
    """Flights of unlike predictions: the interval holds the prediction exactly where chi-square is by chance.

    NIST/SEMATECH e-Handbook 1.3.5.8: n s² over sigma² is chi-square, so s is sigma times root of chi-square over n.
    """
    flights, seen = tame
    spreads = {"wind_speed_fraction": 0.02, "wind_speed_mps": 0.1}
    for axis in (ALONG, ACROSS, APOGEE):
        for given in ({}, spreads):
            found = scatter_of(flights, sample_of(flights, seen, axis, given), axis, given)
            assert (found.measured.estimate / found.predicted) ** 2 == pytest.approx(found.chi_square / found.freedom)
            assert found.differs == (not found.measured.low <= found.predicted <= found.measured.high)
            told = scatter_words(axis.name, found, None if axis.by_rocket else "si")
            assert ("lies within that" in told) == (not found.differs)


@pytest.mark.parametrize(("chi_square", "where"), [(27.1, "within"), (60.0, "below"), (12.0, "above")])
def test_the_words_follow_from_the_interval(chi_square, where):
    """38 degrees of freedom leave 22.88 to 56.90 to chance (table of chi-square, from memory)."""
    told = scatter_words("landing point along the wind", judged(chi_square, 38, 150.0), "si")
    assert f"the predicted 150 m lies {where} that" in told and "by chance 22.9 to 56.9" in told
    if where == "within":
        assert "127 m (95 %: 104 to 163)" in told
