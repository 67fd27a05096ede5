"""What is tried on a finding beyond its own levers: what clears another, and as many pairs as the budget allows."""

from __future__ import annotations

import pytest

from service.models.advice import Change
from service.planning.advise import fixes as module
from service.planning.advise.fix_words import fix_of
from service.planning.advise.fixes import Search, fixes_for
from service.planning.advise.grouped import grouped
from service.planning.advise.lever import Reach
from service.planning.advise.levers import STEEPEST_GLIDE, canopy_levers
from service.planning.advise.single import single_that_works
from service.planning.advise.trials import standings
from tests.planning.advise.few_flights import FEW, assessed, demo, ground
from tests.planning.advise.test_harm import seeker_of

SOFT, TORN = "adv-deploy-speed", "adv-deploy-speed-strong"


@pytest.fixture(scope="module")
def mended():
    """Harrier opens at 62 m/s: a longer delay brings it under the 30 m/s at which canopies tear."""
    seeker = seeker_of("e-12")
    finding = next(each for each in seeker.now.findings if each.rule == TORN)
    return seeker, finding, single_that_works(seeker, finding)


def test_what_clears_another_finding_is_tried_before_pairs(mended, monkeypatch):
    seeker, finding, answer = mended
    cleared = [rule for rule, stands in seeker.before.items() if stands != "clear"
               and standings(answer.result).get(rule, "clear") == "clear"]  # fmt: skip
    assert cleared == [TORN]
    monkeypatch.setattr(module, "single_that_works", lambda *_: None)
    monkeypatch.setattr(module, "pair_that_works", lambda *_: pytest.fail("a pair was sought"))
    search = Search(seeker, True, [(Reach.TABLE, answer)])
    assert search.fix(finding).words == answer.trials[-1].step.words
    other = next(each for each in seeker.now.findings if each.rule == SOFT)
    monkeypatch.setattr(module, "pair_that_works", lambda *_: None)
    assert search.fix(other).found == "none", "it leaves this one as it is"


def test_what_has_to_be_built_for_another_is_not_taken_before_what_can_be_done_at_the_table(mended, monkeypatch):
    seeker, finding, answer = mended
    monkeypatch.setattr(module, "single_that_works", lambda *_: None)
    sought = []
    monkeypatch.setattr(module, "pair_that_works", lambda *_: sought.append(seeker.reach))
    assert Search(seeker, True, [(Reach.BUILT, answer)]).fix(finding).found != "none"
    assert sought == [Reach.TABLE]


def test_a_search_for_pairs_that_is_cut_off_says_so(monkeypatch):
    monkeypatch.setattr(module, "PAIR_TRIALS", 2)
    monkeypatch.setattr(module, "single_that_works", lambda *_: None)
    entry = demo().entry_by_id("e-13")
    (found,) = fixes_for(demo(), entry, assessed(entry), rules=["us-mr-age-g"], ground=ground(), **FEW).fixes
    assert found.found == "none" and "cut off after 2 trials" in found.words and "no pair of them" not in found.words
    (found,) = fixes_for(
        demo(), entry, assessed(entry), rules=["us-mr-age-g"], ground=ground(), pairs=False, **FEW
    ).fixes
    assert "cut off" not in found.words


def test_a_glider_is_trimmed_to_seven_tenths_of_its_glide_and_no_further():
    entry = demo().entry_by_id("e-05")
    (lever,) = [each for each in canopy_levers(entry, None) if each.name == "glide"]
    index = next(n for n, device in enumerate(entry.recovery) if device.kind == "glide")
    now = entry.recovery[index].glide_ratio
    ratios = [trial.entry.recovery[index].glide_ratio for trial in lever.trials]
    assert now == 3.0 and STEEPEST_GLIDE == 0.7 and min(ratios) == pytest.approx(2.1) and ratios[0] == 2.9


def test_what_takes_a_stop_away_is_listed_before_what_leaves_it(mended):
    """Two changes clear two findings each: one of them a stop; and of two alike the one with less to do."""
    made = fix_of(*mended)

    def fix(rule, before, words, steps=1, also=()):
        change = Change(pointer=f"/{words}", before=0, after=1)
        return made.model_copy(update={
            "rule": rule, "statement": f"{rule}.", "before": before, "words": words, "changes": (change,),
            "steps": made.steps * steps, "also_clears": also,
        })  # fmt: skip

    listed = [fix("soft", "caution", "altimeter", 2, ("late",)), fix("late", "caution", "weight", 2, ("out",)),
              fix("out", "stop", "canopy", 1), fix("far", "caution", "smaller", 1, ("out",))]  # fmt: skip
    assert [each.fix.words for each in grouped(listed)] == ["smaller", "weight", "canopy", "altimeter"]
    assert grouped(listed)[0].besides == ("out.",)
