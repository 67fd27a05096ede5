"""Counts of endings: who can end how, intervals against scipy's beta, and which way a proposal may go.

Interval: Clopper and Pearson (1934) as quantiles of the beta distribution, a textbook identity.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy import stats

from service.models.policy import ModeChances
from service.planning.learning.cases import cases_of
from service.planning.learning.modes import count_modes, proposed_chance
from service.planning.learning.proposals import mode_proposal
from tests.planning.learning.logs import as_log, changed, demo_day, planned

CHANCES = ModeChances()


@pytest.fixture(scope="module")
def single():
    """A flight with one canopy; the dual-deployment and the clustered one of the demo beside it."""
    (line,) = planned("e-07", 1, 1.0, 1)
    return line


def cases(line, *endings, entry="e-07"):
    day = demo_day()
    pad = day.entry_by_id(entry).pad
    lines = [
        changed(line, entry=entry, pad=pad, happened=ending, note="seen", apogee_m=None, landing=None)
        for ending in endings
    ]
    return cases_of(day, as_log(lines))


def of(found, mode):
    return next(each for each in found if each.mode == mode)


def test_a_flight_counts_only_where_it_could_end_that_way(single):
    one = count_modes(cases(single, *["planned"] * 4, "misfire"), CHANCES)
    assert [(each.mode, each.of) for each in one] == [("no_deployment", 4)]  # a misfire never left
    two = count_modes(cases(single, "planned", "drogue_only", entry="e-18"), CHANCES)
    assert {each.mode: (each.happened, each.of) for each in two} == {
        "no_deployment": (0, 2), "drogue_only": (1, 2), "main_at_apogee": (0, 2),
    }  # fmt: skip
    cluster = count_modes(cases(single, "one_unlit", "planned", entry="e-08"), CHANCES)
    assert of(cluster, "one_unlit").happened == 1 and of(cluster, "one_unlit").of == 2


@pytest.mark.parametrize(("happened", "of_all", "lost"), [(0, 12, 0), (3, 40, 0), (2, 30, 2)])
def test_the_interval_leaves_room_for_the_unknown(single, happened, of_all, lost):
    endings = ["no_deployment"] * happened + ["lost"] * lost
    found = of(count_modes(cases(single, *endings, *["planned"] * (of_all - len(endings))), CHANCES), "no_deployment")
    low = stats.beta.ppf(0.025, happened, of_all - happened + 1) if happened else 0.0
    high = stats.beta.ppf(0.975, happened + lost + 1, of_all - happened - lost)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    assert (found.happened, found.of, found.not_known) == (happened, of_all, lost)


def test_a_chance_that_fits_is_left_alone(single):
    found = of(count_modes(cases(single, "no_deployment", *["planned"] * 29), CHANCES), "no_deployment")
    assert proposed_chance(found) is None and mode_proposal(found) is None and "fits" in found.words


def test_too_high_a_count_raises_the_chance(single):
    """6 of 40 against 3 %: raised to the mean under Jeffreys' prior, 6.5 / 41 = 0.1585, rounded up."""
    found = of(count_modes(cases(single, *["no_deployment"] * 6, *["planned"] * 34), CHANCES), "no_deployment")
    proposal = mode_proposal(found)
    assert proposal.values == {"no_deployment": 0.159} and proposal.before == {"no_deployment": 0.03}
    assert "6 of 40" in proposal.evidence and "nothing opens" in proposal.words


def test_a_chance_is_lowered_no_further_than_the_interval(single):
    """None of 150 against 3 %: the top of the interval is 1 - 0.025^(1/150) = 2.43 %; it goes no lower than that."""
    (case,) = cases(single, "planned")
    many = [replace(case, label=str(number)) for number in range(150)]
    found = of(count_modes(many, CHANCES), "no_deployment")
    assert found.high == pytest.approx(1.0 - 0.025 ** (1.0 / 150.0))
    assert proposed_chance(found) == 0.025


def test_lost_flights_may_not_lower_a_chance(single):
    """The same, with six that were never found: any of them may have come down so."""
    (case,) = cases(single, "planned")
    (lost,) = cases(single, "lost")
    many = [replace(case, label=str(number)) for number in range(144)] + [lost] * 6
    assert proposed_chance(of(count_modes(many, CHANCES), "no_deployment")) is None
