"""Accepting a drag for all: a rocket that contradicts it takes its own, and what would stand otherwise is said."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from service.models.correction import Correction
from service.models.learning import Between, Factor, RocketLearning
from service.planning.advise.errors import AdviceStopped
from service.planning.learning.consequences import with_consequences
from service.planning.learning.proposals import accepted, drag_proposal
from tests.planning.advise.few_flights import assessed, demo

AT = datetime(2027, 5, 14, tzinfo=UTC)
TALL, GLIDER, REED = "e-16", "e-05", "e-07"


def learnt(rocket: str | None, factor: float, low: float, high: float, flights: int = 6) -> RocketLearning:
    return RocketLearning(
        rocket=rocket, flights=flights, ratio=Between(estimate=0.97, low=0.95, high=0.99), difference_m=None,
        scatter=None, words="",
        factor=Factor(factor=factor, low=low, high=high, flights=flights, in_force=1.0, ratio_before=0.96,
                      ratio_after=1.0),
    )  # fmt: skip


def correction(rocket: str | None, factor: float) -> Correction:
    return Correction(rocket=rocket, drag_factor=factor, flights=6, evidence="they flew", by="Organiser", at=AT)


ALL = learnt(None, 1.13, 1.07, 1.19, 34)
AGREES, CONTRADICTS = learnt("Reed 41", 1.12, 1.02, 1.22), learnt("Dandelion", 1.02, 0.93, 1.11)


def test_a_rocket_whose_own_flights_leave_the_factor_for_all_out_takes_its_own():
    proposal = drag_proposal(ALL, [AGREES, CONTRADICTS])
    assert [(each.rocket, each.factor) for each in proposal.apart] == [("Dandelion", 1.02)]
    assert "Dandelion takes 1.02" in proposal.words and "0.93 to 1.11" in proposal.apart[0].evidence
    day = accepted(demo(), proposal, "Organiser", AT)
    assert {name: day.correction_of(name).drag_factor for name in ("Dandelion", "Reed 41", "Spire")} == {
        "Dandelion": 1.02, "Reed 41": 1.13, "Spire": 1.13,
    }  # fmt: skip
    own = day.correction_of("Dandelion")
    assert own.flights == 6 and own.by == "Organiser" and "leaves out the 1.13" in own.evidence


def test_a_correction_that_is_in_force_already_stays():
    proposal = drag_proposal(ALL, [CONTRADICTS], [correction("Dandelion", 0.97)])
    assert proposal.apart == () and "Dandelion" not in proposal.words
    day = demo().model_copy(update={"corrections": (correction("Dandelion", 0.97),)})
    late = accepted(day, drag_proposal(ALL, [CONTRADICTS]), "Organiser", AT)  # worked out before that one was accepted
    assert late.correction_of("Dandelion").drag_factor == 0.97
    assert len({each.rocket for each in late.corrections}) == len(late.corrections)


@pytest.mark.parametrize(("factor", "said"), [(1.13, "LESS cautious"), (0.9, "more cautious")])
def test_which_way_estimates_move_is_said(factor, said):
    found = drag_proposal(learnt(None, factor, factor - 0.05, factor + 0.05))
    assert said in found.direction


def few(*ids: str):
    day = demo()
    return day.model_copy(update={"entries": tuple(each for each in day.entries if each.id in ids)})


def test_what_would_stand_otherwise_is_what_the_assessment_says():
    """Drag times 1.9 brings the rocket that breaks the ceiling under it; another rocket's drag moves nothing."""
    day = few(TALL, GLIDER, REED)
    rocket = day.entry_by_id(TALL).rocket.name
    told: list[str] = []
    (found,) = with_consequences(
        day, [drag_proposal(learnt(rocket, 1.9, 1.8, 1.98))], lambda: None, told.append
    )  # fmt: skip
    assert told == [TALL, TALL] and [each.entry for each in found.moved] == [TALL]
    assert found.moved_words.startswith("1 entry of the day would fly with it")
    corrected = day.model_copy(update={"corrections": (correction(rocket, 1.9),)})
    before, after = (
        {each.rule: each.standing for each in assessed(given.entry_by_id(TALL), given).findings}
        for given in (day, corrected)
    )
    moved = {each.rule: (each.before, each.after) for each in found.moved[0].findings}
    assert moved == {
        rule: (before.get(rule), after.get(rule))
        for rule in {*before, *after}
        if before.get(rule) != after.get(rule) and {before.get(rule), after.get(rule)} != {None, "clear"}
    }
    ceiling = [each for each in found.moved[0].findings if "ceiling" in each.statement]
    assert ceiling and not any(each.worse for each in ceiling)


def test_a_rocket_that_does_not_fly_today_changes_nothing():
    (found,) = with_consequences(
        few(REED), [drag_proposal(learnt("Nobody's", 1.2, 1.1, 1.3))], lambda: None, lambda entry: None
    )  # fmt: skip
    assert found.moved == () and found.moved_words == "No entry of the day would fly with it."


def test_called_off_between_entries():
    def stop() -> None:
        raise AdviceStopped("called off; nothing was changed")

    with pytest.raises(AdviceStopped):
        with_consequences(few(REED), [drag_proposal(ALL)], stop, lambda entry: None)
