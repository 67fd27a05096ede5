"""No fix makes another finding worse: not its standing, and not its figure where it stands at the worst already."""

from __future__ import annotations

import pytest

from service.models.finding import Finding, Source
from service.planning.advise.lever import Reach
from service.planning.advise.levers import MOST_SETTING_STEPS, NUDGE_STEPS, levers
from service.planning.advise.single import Seeker
from service.planning.advise.trials import Trials
from service.planning.advise.worse import further
from tests.planning.advise.few_flights import FEW, SAMPLES, assessed, demo, ground

OUTSIDE = ("club-footprint", "adv-footprint")


def seeker_of(entry_id: str) -> Seeker:
    entry = demo().entry_by_id(entry_id)
    trials = Trials(demo(), ground(), demo().conditions, None, FEW["samples"], FEW["most_samples"], threads=1)
    return Seeker(trials, entry, assessed(entry))


def test_a_lean_that_softens_the_opening_and_lands_more_of_it_outside_is_refused():
    """Guillemot lands outside in some 42 of 100 flights; leant 6.2 degrees toward 32 in some 66 (flown here)."""
    seeker = seeker_of("e-14")
    pad = demo().pad_by_name("B2").model_copy(update={"tilt_deg": 6.2, "azimuth_deg": 32.0})
    for result, harms in (
        (seeker.trials.full(seeker.entry, pad), seeker.harms),
        (seeker.trials.quick(seeker.entry, pad), seeker.harms_quick),
    ):
        shares = [each.footprint("planned").inside.estimate for each in (seeker.now, result)]
        assert shares[1] < shares[0] - 0.1
        assert set(OUTSIDE) <= set(harms(result))
        assert {each.standing for each in result.findings if each.rule in OUTSIDE} <= {"stop", "caution"}


@pytest.mark.parametrize("entry_id", ["e-09", "e-14"])
def test_a_guide_is_leant_for_a_hard_opening_after_delay_and_motor_and_far_after_electronics(entry_id):
    seeker = seeker_of(entry_id)
    at = {reach: [(row[0].name, max(len(lever.trials) for lever in row)) for row in _rows(seeker, reach)]
          for reach in Reach}  # fmt: skip
    names = [name for name, _ in at[Reach.TABLE]]
    assert names.index("delay") < names.index("motor") < names.index("setting") == len(names) - 1
    assert [most for name, most in at[Reach.TABLE] if name == "setting"] == [NUDGE_STEPS]
    assert [most for name, most in at[Reach.LEANT] if name == "setting"] == [MOST_SETTING_STEPS]
    assert [name for name, _ in at[Reach.LEANT]][-1] == "setting"
    for_ground = [
        lever.name for lever in levers(seeker.trials, seeker.entry, None, "outside_chance", lambda: seeker.motors)
    ]
    assert for_ground.index("setting") < for_ground.index("motor")


def _rows(seeker: Seeker, reach: Reach):
    seeker.reach = reach
    return list(seeker.rows("deploy_speed_mps"))


def figure_of(measured, limit=20.0, standing="caution", **more) -> Finding:
    told = {
        "rule": "x", "code": "c", "weight": "practice", "kind": "computed", "protects": "all", "statement": "Says.",
        "quantity": "deploy_speed_mps", "measured": measured, "unit": "m/s", "limit": limit, "comparison": "at_most",
        "margin": None, "standing": standing, "source": Source(clause="1", known="practice"), "statistic": "high",
    }  # fmt: skip
    return Finding.model_validate({**told, **more})


CHANCE = {"quantity": "outside_chance", "unit": "%", "statistic": "interval", "limit": 5.0, "standing": "stop"}
RISK = {"quantity": "collective_risk", "unit": "1", "statistic": "nominal", "limit": 1e-4}


@pytest.mark.parametrize(("before", "after", "worse"), [
    (figure_of(28.0), figure_of(28.3), False), (figure_of(28.0), figure_of(28.5), True),  # 2 % of 20 m/s is 0.4
    (figure_of(19.0, standing="unknown"), figure_of(20.3), False), (figure_of(28.0), figure_of(21.0), False),
    (figure_of(4.0, 5.0, comparison="at_least"), figure_of(3.8, 5.0, comparison="at_least"), True),
    # of 1,024 flights 42 % may be 45.1 % (Clopper and Pearson 1934, NIST e-Handbook 7.2.4.1)
    (figure_of(42.0, **CHANCE), figure_of(44.5, **CHANCE), False),
    (figure_of(42.0, **CHANCE), figure_of(45.5, **CHANCE), True),
    (figure_of(5e-4, **RISK), figure_of(6e-4, **RISK), False), (figure_of(5e-4, **RISK), figure_of(7e-4, **RISK), True),
    (figure_of(28.0, standing="stop"), figure_of(None, standing="unknown"), True),  # unknown is not less than a stop
    (figure_of(42.0, **CHANCE), figure_of(4.9, **{**CHANCE, "standing": "unknown"}), False),  # nearer, though not told
    (figure_of(False, 1, standing="stop"), figure_of(None, 1, standing="unknown"), False),  # there was no figure
    (figure_of(None, None), figure_of(28.0), False), (figure_of(28.0), figure_of(19.0, standing="clear"), False),
])  # fmt: skip
def test_further_past_a_limit_by_more_than_the_figure_is_known_to(before, after, worse):
    whole = assessed(demo().entry_by_id("e-03"))
    was, now = (whole.model_copy(update={"findings": (each,), "samples": 1024}) for each in (before, after))
    assert further(was, now) == (["x"] if worse else [])
    assert SAMPLES < 1024
