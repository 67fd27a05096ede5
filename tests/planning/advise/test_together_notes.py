"""What the steps made together ask for besides: said once, with the figures of all of them."""

from __future__ import annotations

import pytest

from service.planning.advise.fix_words import FIRST, fix_of
from service.planning.advise.levers import canopy_levers, guide_lever
from service.planning.advise.merging import merged
from service.planning.advise.parts import Part, Whole
from service.planning.advise.single import Answer
from service.planning.advise.text import together_lines
from service.planning.advise.together_words import told
from tests.planning.advise.few_flights import demo
from tests.planning.advise.test_harm import seeker_of
from tests.planning.advise.test_together import EXIT, a1, entry, fix_by, seeker

ADAPTER = "Needs an adapter from 18 mm to 24 mm, whose mass is not reckoned."
REFIT = "Pad C2 has a rail: the rocket needs what fits it."


def together(fixes, result=None, upon=None):
    upon = upon or seeker()
    now = result or upon.now
    parts = tuple(Part(number, fix, now, {}) for number, fix in enumerate(fixes, start=1))
    made = merged(demo(), upon.entry, fixes)
    return told(upon, fixes, parts, Whole(parts, made, now, {}), ())


def fix_from(trial):
    """A fix as the search makes it, of one trial."""
    finding = next(each for each in seeker().now.findings if each.rule == EXIT)
    return fix_of(seeker(), finding, Answer((trial,), seeker().now, (), lambda other: None))


def test_each_note_is_said_once_whichever_step_it_is_of():
    motor = fix_by({"motor": "e24"}, motor="quillon-e24").model_copy(update={"notes": (FIRST, ADAPTER)})
    pad = fix_by({"pad": "C2"}, pad=None).model_copy(update={"notes": (REFIT, ADAPTER), "entry": entry(pad="C2")})
    whole = together([motor, pad])
    assert whole.notes == (ADAPTER, REFIT)
    printed = " ".join(" ".join(together_lines(whole)).split())
    assert printed.count(ADAPTER) == printed.count(REFIT) == 1


def test_how_fast_it_comes_down_is_what_all_of_them_come_to():
    """Of the fix by itself one figure, of all changes another; a cross-check of one change alone is not repeated."""
    canopy = fix_from(next(lever for lever in canopy_levers(entry(), None) if lever.trials).trials[-1])
    rod = fix_from(guide_lever(entry(), a1()).trials[-1])
    assert any(each.startswith("Comes down at") for each in canopy.notes)
    assert any(each.startswith("Cross-check") for each in rod.notes)
    estimate = seeker().now.estimate
    speed = estimate.descent_speed_mps.model_copy(update={"nominal": 3.21})
    result = seeker().now.model_copy(update={"estimate": estimate.model_copy(update={"descent_speed_mps": speed})})
    notes = together([canopy, rod], result).notes
    assert notes == ("The canopy's own change of weight is not reckoned.", "Comes down at 3.2 m/s.")
    assert together([rod]).notes == ()


@pytest.mark.parametrize("swapped", [False, True])
def test_of_two_trims_of_a_glider_only_the_one_that_is_made_is_told(swapped):
    glider = seeker_of("e-05")
    (lever,) = canopy_levers(glider.entry, None)
    less, more = lever.trials[0], lever.trials[-1]
    assert "it then sinks at" in less.notes[0] and less.notes != more.notes
    fixes = [
        fix_by({}).model_copy(update={
            "entry": trial.entry.model_copy(update=changed), "notes": (*trial.notes, note),
            "steps": (trial.step, trial.step.model_copy(update={"lever": other, "words": other})),
        })
        for trial, other, changed, note in (
            (less, "motor", {"motor": "quillon-e24"}, ADAPTER), (more, "pad", {"pad": "C2"}, REFIT),
        )
    ]  # fmt: skip
    assert set(together(fixes[::-1] if swapped else fixes, upon=glider).notes) == {ADAPTER, REFIT, *more.notes}
