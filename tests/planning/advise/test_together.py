"""Which fixes are put together: the fewest that leave least, none that does harm, by what is flown and nothing else.

What a flight shows is told here, change by change; that it is what a new assessment of the changed document shows is
held in the tests of the demo's fixes.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations

import pytest

from service.models.finding import WORST_FIRST
from service.models.recovery import AtApogee
from service.planning.advise import parts
from service.planning.advise import together as module
from service.planning.advise.fixes import fixes_for
from service.planning.advise.merging import merged
from service.planning.advise.steady import NEVER
from service.planning.advise.text import together_lines
from service.planning.advise.together import MOST_FLOWN, together_of
from service.planning.advise.together_words import CROOKED
from service.planning.advise.weights import NOSE_SHARE, with_weight
from tests.planning.advise.few_flights import FEW, assessed, demo, ground
from tests.planning.advise.test_harm import seeker_of

OPEN = ("adv-exit-speed", "adv-twr-5", "adv-deploy-speed", "adv-ejection-time")  # of Anvil, e-09
OTHER = "adv-descent-main"  # clear as it stands
EXIT, THRUST, SOFT, TIMELY = OPEN


@cache
def seeker():
    return seeker_of("e-09")


def entry(**changed):
    return demo().entry_by_id("e-09").model_copy(update=changed)


def a1(**changed):
    return demo().pad_by_name("A1").model_copy(update=changed)


CANOPY = (demo().entry_by_id("e-09").recovery[0].model_copy(update={"diameter_m": 0.9}),)
CHANGES = {
    "delay": (entry(delay_s=6.0), None),
    "canopy": (entry(recovery=CANOPY), None),
    "guide_length": (entry(), a1(guide_length_m=2.0)),
    "setting": (entry(), a1(tilt_deg=3.0)),
}


def made_of(changed, pad) -> frozenset[str]:
    """Which of the changes an entry and its pad have."""
    parts = {
        "delay": changed.delay_s == 6.0,
        "canopy": changed.recovery == CANOPY,
        "guide_length": pad is not None and pad.guide_length_m == 2.0,
        "setting": pad is not None and pad.tilt_deg == 3.0,
    }
    return frozenset(name for name, there in parts.items() if there)


class Told:
    """A search whose flights show what they are told to: of each set of changes, the rules that it does not clear."""

    def __init__(self, monkeypatch, left: dict[str, set[str]], otherwise=frozenset()):
        self.left = {frozenset(names.split()): rules for names, rules in left.items()}
        self.otherwise = otherwise
        self.flown: list[frozenset[str]] = []
        monkeypatch.setattr(seeker().trials, "full", self.full)
        self.fixes = tuple(self.fix(lever, rule) for lever in CHANGES for rule in self.cleared(lever))

    def full(self, changed, pad=None):
        made = made_of(changed, pad)
        self.flown += [made] if len(made) > 1 else []
        left = self.left.get(made, self.otherwise)
        findings = tuple(
            each.model_copy(update={"standing": "caution" if each.rule in left else "clear"})
            for each in seeker().now.findings
        )
        worst = min((each.standing for each in findings), key=WORST_FIRST.index)
        return seeker().now.model_copy(update={"findings": findings, "standing": worst, "id": "+".join(sorted(made))})

    def cleared(self, lever: str) -> list[str]:
        return [rule for rule in OPEN if rule not in self.left[frozenset((lever,))]]

    def fix(self, lever: str, rule: str):
        changed, pad = CHANGES[lever]
        result = self.full(changed, pad)
        return real_fix().model_copy(update={
            "rule": rule, "words": f"Move the {lever}.", "entry": changed, "pad": pad, "changes": (lever,),
            "steps": (real_fix().steps[0].model_copy(update={"lever": lever, "words": f"Move the {lever}."}),),
            "also_clears": tuple(each for each in self.cleared(lever) if each != rule),
            "standing_after": result.standing, "assessment": result.id,
        })  # fmt: skip

    def together(self):
        return together_of(seeker(), self.fixes)


@cache
def real_fix():
    return fixes_for(
        demo(), entry(), assessed(entry()), rules=[EXIT], ground=ground(), pairs=False, **FEW
    ).fixes[0]  # fmt: skip


LEAVES = {"delay": {SOFT, TIMELY}, "canopy": {EXIT, THRUST, TIMELY}, "guide_length": {EXIT, THRUST, SOFT},
          "setting": {EXIT, THRUST}}  # fmt: skip


def steps(whole) -> set[str]:
    return {step.lever for step in whole.steps}


def test_the_fewest_that_should_clear_all_are_flown_first_and_then_nothing_more(monkeypatch):
    told = Told(monkeypatch, LEAVES)
    whole = told.together()
    assert told.flown == [{"delay", "setting"}]
    assert (whole.found, whole.standing_after, whole.combinations) == ("several", "clear", 1)
    assert steps(whole) == {"delay", "setting"} and whole.alone == ()
    assert {told.fixes[number - 1].words for number in whole.fixes} == {"Move the delay.", "Move the setting."}
    assert (whole.entry, whole.pad, whole.assessment) == (entry(delay_s=6.0), a1(tilt_deg=3.0), "delay+setting")
    assert whole.words == "Move the delay. Move the setting." and "these 2 together do" in whole.says


def test_what_two_leave_beside_each_other_a_third_may_clear(monkeypatch):
    told = Told(monkeypatch, {**LEAVES, "delay setting": {TIMELY}})
    whole = told.together()
    assert told.flown[0] == {"delay", "setting"} and len(told.flown) == 2
    assert "guide_length" in told.flown[1], "it clears what was left by itself"
    assert whole.standing_after == "clear" and steps(whole) == told.flown[1]


def test_what_stays_is_named_and_why(monkeypatch):
    told = Told(monkeypatch, LEAVES, otherwise={TIMELY})
    whole = told.together()
    assert (whole.found, whole.standing_after) == ("several", "caution")
    (left,) = (each for each in whole.findings if each.after != "clear")
    assert left.rule == TIMELY and "by itself, but not beside the others" in left.why
    assert "These 2 changes together clear 3 of 4 findings" in whole.says and "No finding stands worse" in whole.says
    said = " ".join(" ".join(together_lines(whole)).split())
    assert f"stays at caution: {left.statement}" in said and left.why in said and "1. Move the delay." in said
    assert len(told.flown) == whole.combinations <= MOST_FLOWN


def test_a_set_that_does_harm_is_not_offered_and_the_harm_is_named(monkeypatch):
    told = Told(monkeypatch, LEAVES, otherwise={OTHER})
    whole = told.together()
    assert whole.found == "one" and len(told.flown) == whole.combinations == MOST_FLOWN
    assert not any(one < other for one, other in combinations(told.flown, 2)), "nor what holds one that did harm"
    harmed = next(each.statement for each in seeker().now.findings if each.rule == OTHER).rstrip(".")
    left = [each for each in whole.findings if each.after != "clear"]
    assert left and all(f"makes another finding worse (caution: {harmed})" in each.why for each in left)


def test_a_flight_that_could_not_be_computed_is_no_answer(monkeypatch):
    told = Told(monkeypatch, LEAVES)
    shown = told.full
    monkeypatch.setattr(seeker().trials, "full", lambda changed, pad=None: shown(changed, pad).model_copy(
        update={"estimate": None} if len(made_of(changed, pad)) > 1 else {}))  # fmt: skip
    whole = told.together()
    assert whole.found == "one" and any("could not be flown" in each.why for each in whole.findings)


def test_one_that_does_alone_is_named_and_nothing_is_flown(monkeypatch):
    told = Told(monkeypatch, {**LEAVES, "guide_length": set()})
    whole = told.together()
    assert (whole.found, whole.standing_after, whole.combinations, told.flown) == ("one", "clear", 0, [])
    fix = told.fixes[whole.fixes[0] - 1]
    assert whole.alone == whole.fixes and (whole.entry, whole.pad, whole.words) == (fix.entry, fix.pad, fix.words)
    assert whole.says == "One of the changes makes the whole entry stand clear by itself."


def test_what_nothing_clears_is_named_beside_what_can_be_had(monkeypatch):
    told = Told(monkeypatch, {**LEAVES, "guide_length": {EXIT, THRUST, SOFT, TIMELY}, "setting": set(OPEN)},
                otherwise={TIMELY})  # fmt: skip
    none = real_fix().model_copy(update={"rule": TIMELY, "found": "none", "entry": None, "words": "No."})
    told.fixes = (*told.fixes, none)
    whole = told.together()
    assert steps(whole) == {"delay", "canopy"} and whole.combinations == 1, "more would promise no more"
    assert [each.why for each in whole.findings if each.after != "clear"] == [
        "Nothing tried clears it without making another finding worse."
    ]


def test_the_same_answer_twice(monkeypatch):
    told = Told(monkeypatch, LEAVES, otherwise={TIMELY})
    assert told.together() == told.together()


def test_one_finding_or_no_fix_leaves_nothing_to_put_together():
    one = fixes_for(demo(), entry(), seeker().now, rules=[THRUST], ground=ground(), pairs=False, **FEW)
    assert len(one.fixes) == 1 and one.together is None
    assert together_of(seeker(), [real_fix().model_copy(update={"found": "none"})]) is None


@pytest.mark.parametrize(("levers", "together"), [
    (("delay", "canopy", "guide_length", "setting"), True), (("canopy", "pad"), True),
    (("motor", "guide_length"), True),
    (("guide_length", "pad"), False), (("setting", "pad"), False), (("delay", "another delay"), False),
    (("motor", "delay"), False), (("two canopy", "canopy"), False),
])  # fmt: skip
def test_changes_go_together_where_they_leave_each_other_alone(levers, together):
    """A rod stays with its pad, a delay is drilled for one motor, a canopy is changed where it is flown."""
    more = {"pad": entry(pad="C2"), "motor": entry(motor="quillon-e24"), "another delay": entry(delay_s=8.0),
            "two canopy": entry(recovery=(*CANOPY, CANOPY[0].model_copy(update={"name": "second"})))}  # fmt: skip
    fixes = []
    for lever in levers:
        changed, pad = CHANGES.get(lever) or (more[lever], None)
        step = real_fix().steps[0].model_copy(update={"lever": lever.split()[-1], "words": lever})
        fixes.append(real_fix().model_copy(update={"steps": (step,), "entry": changed, "pad": pad}))
    found = merged(demo(), entry(), fixes)
    assert (found is not None) == together
    if found and len(levers) == len(CHANGES):
        assert made_of(found.entry, found.pad) == set(CHANGES)
    twice = merged(demo(), entry(), fixes[:1] * 2)
    assert (twice.entry, twice.pad, twice.steps) == (fixes[0].entry, fixes[0].pad, fixes[0].steps)
    bare = real_fix().model_copy(update={"entry": entry(recovery=()), "pad": None})
    assert merged(demo(), entry(), [bare]) is None, "no document flies without recovery"


@pytest.mark.parametrize("swapped", [False, True])
def test_of_two_moves_of_one_lever_the_further_is_made(swapped):
    """A canopy of 0.9 m with a delay, and one of 0.8 m on another pad: 0.9 m, which both took it toward."""
    less = (CANOPY[0].model_copy(update={"diameter_m": 0.8}),)
    made = (("canopy 0.9", "delay", entry(recovery=CANOPY, delay_s=6.0)),
            ("canopy 0.8", "pad", entry(recovery=less, pad="C2")))  # fmt: skip
    step = real_fix().steps[0]
    fixes = [
        real_fix().model_copy(update={"entry": changed, "pad": None, "steps": (
            step.model_copy(update={"lever": "canopy", "words": canopy}),
            step.model_copy(update={"lever": other, "words": other}),
        )})
        for canopy, other, changed in made
    ]  # fmt: skip
    found = merged(demo(), entry(), fixes[::-1] if swapped else fixes)
    assert found.entry == entry(recovery=CANOPY, delay_s=6.0, pad="C2")
    assert {each.words for each in found.steps} == {"canopy 0.9", "delay", "pad"}
    smaller = (CANOPY[0].model_copy(update={"diameter_m": 0.5}),)
    assert demo().entry_by_id("e-09").recovery[0].diameter_m > 0.5
    back = fixes[1].model_copy(update={"entry": entry(recovery=smaller, pad="C2")})
    assert merged(demo(), entry(), [fixes[0], back]) is None, "one larger, one smaller"


def fix_by(moves: dict, pad=None, **changed):
    """A fix with a step for each lever, named by lever and how it is moved."""
    step = real_fix().steps[0]
    steps = tuple(step.model_copy(update={"lever": lever, "words": f"{lever} {how}"}) for lever, how in moves.items())
    return real_fix().model_copy(update={"steps": steps, "entry": entry(**changed), "pad": pad})


def heavier(grams: float):
    rocket = entry().rocket
    return with_weight(rocket, 0.001 * grams, NOSE_SHARE * rocket.airframe.nose.length_m)


ALTIMETER = (CANOPY[0].model_copy(update={"deploy": AtApogee(at="apogee")}),)
WIDER = (CANOPY[0].model_copy(update={"diameter_m": 0.95}),)


OTHERWISE = {
    "motor": lambda: (
        fix_by({"motor": "e24", "nose_weight": 20}, motor="quillon-e24", rocket=heavier(20)),
        fix_by({"motor": "f20", "nose_weight": 10}, motor="quillon-f20", rocket=heavier(10)),
    ),
    "setting": lambda: (
        fix_by({"setting": "8/90", "nose_weight": 20}, a1(tilt_deg=8.0, azimuth_deg=90.0), rocket=heavier(20)),
        fix_by({"setting": "10/270", "nose_weight": 10}, a1(tilt_deg=10.0, azimuth_deg=270.0), rocket=heavier(10)),
    ),
    "a delay, and that of an altimeter's backup": lambda: (
        fix_by({"electronics": "and 9 s", "canopy": 0.9}, recovery=ALTIMETER, delay_s=9.0),
        fix_by({"delay": 6, "canopy": 0.95}, recovery=WIDER, delay_s=6.0),
    ),
}


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("what", OTHERWISE)
def test_no_step_is_told_that_the_entry_does_not_show(what, swapped):
    """Both move one lever the same way and set another thing each its own way: only one of those can be made."""
    one, other = OTHERWISE[what]()
    assert merged(demo(), entry(), [other, one] if swapped else [one, other]) is None
    assert merged(demo(), entry(), [one]) is not None and merged(demo(), entry(), [other]) is not None


def test_the_heavier_nose_goes_with_what_only_one_of_them_sets():
    found = merged(demo(), entry(), [
        fix_by({"motor": "e24", "nose_weight": 20}, motor="quillon-e24", rocket=heavier(20)),
        fix_by({"canopy": 0.9, "nose_weight": 10}, recovery=CANOPY, rocket=heavier(10)),
    ])  # fmt: skip
    assert found.entry == entry(motor="quillon-e24", rocket=heavier(20), recovery=CANOPY)
    assert {step.words for step in found.steps} == {"motor e24", "nose_weight 20", "canopy 0.9"}


def test_no_more_than_a_handful_is_flown(monkeypatch):
    told = Told(monkeypatch, LEAVES, otherwise={OTHER})
    monkeypatch.setattr(module, "MOST_FLOWN", 2)
    assert told.together().combinations == len(told.flown) == 2


SHORT = {**LEAVES, "guide_length": {EXIT, THRUST, SOFT}, "setting": set(OPEN)}


def whys(told) -> list[str]:
    told.fixes = tuple(each for each in told.fixes if each.words != "Move the setting.")
    return [each.why for each in told.together().findings if each.after != "clear"]


def test_what_was_never_flown_beside_the_best_is_said_to_be_so(monkeypatch):
    """Of three changes the two that leave least are weighed: what the third would bring is not known."""
    told = Told(monkeypatch, {**SHORT, "delay canopy": {TIMELY}})
    monkeypatch.setattr(parts, "MOST_PARTS", 2)
    assert whys(told) == ["What clears it by itself was not flown beside this: Move the guide_length."]
    assert told.flown == [{"delay", "canopy"}]


def test_what_was_flown_beside_the_best_and_left_as_much_is_said_to_have_brought_no_more(monkeypatch):
    told = Told(monkeypatch, SHORT, otherwise={SOFT, TIMELY})
    brought = "What clears it by itself brought no more beside this, as far as was flown: Move the {}."
    assert whys(told) == [brought.format("canopy"), brought.format("guide_length")]
    assert {"delay", "canopy", "guide_length"} in told.flown


def test_where_the_rocket_never_flies_straight_nothing_else_is_said_to_have_been_tried(monkeypatch):
    told = Told(monkeypatch, {**LEAVES, "setting": set(OPEN)}, otherwise={TIMELY})
    none = real_fix().model_copy(update={"rule": TIMELY, "found": "none", "entry": None, "words": NEVER})
    told.fixes = (*(each for each in told.fixes if each.rule != TIMELY), none)
    assert [each.why for each in told.together().findings if each.after != "clear"] == [NEVER]


def test_what_a_rocket_shows_that_does_not_fly_straight_is_not_counted_as_cleared(monkeypatch):
    """As if one of the findings were of a margin below zero: of what is flown none counts until that is clear."""
    monkeypatch.setattr(parts, "tumbles", lambda finding: finding.rule == THRUST and finding.standing != "clear")
    told = Told(monkeypatch, {**SHORT, "delay": {EXIT, THRUST}}, otherwise={THRUST})
    whole = told.together()
    assert {each.after for each in whole.findings} == {"caution"} and "0 of 4 findings" in whole.says
    assert (whole.found, whole.standing_after) == ("one", "caution")
    why = {each.rule: each.why for each in whole.findings}
    assert why[SOFT] == CROOKED and why[THRUST] != CROOKED
    each_straight = {**SHORT, "canopy": {EXIT, TIMELY}, "guide_length": {EXIT, SOFT}}
    straight = Told(monkeypatch, each_straight, otherwise={EXIT}).together()
    assert [each.rule for each in straight.findings if each.after != "clear"] == [EXIT]
    assert (straight.found, straight.standing_after) == ("several", "caution")


@pytest.mark.parametrize(("margin", "before", "after", "counted"), [
    ("stop", "stop", "clear", "stop"), ("stop", "caution", "clear", "caution"), ("stop", "clear", "clear", "clear"),
    ("caution", "stop", "clear", "caution"), ("caution", "caution", "stop", "stop"),
    ("clear", "stop", "clear", "clear"),
])  # fmt: skip
def test_what_is_flown_stands_no_better_than_a_margin_below_zero(margin, before, after, counted):
    """Moth, e-15, tumbles as it is; its speed of descent is flown, the age of its flyer is not."""
    flown, read, margins = "adv-descent-main", "flyer_adult", ("static_margin_cal", "least_static_margin_cal")

    def shown(stands, straight):
        return real_moth().model_copy(update={"findings": tuple(
            each.model_copy(update={"standing": straight if each.quantity in margins else stands})
            for each in real_moth().findings if each.rule == flown or each.quantity in (*margins, read)
        )})  # fmt: skip

    found = parts.credited(shown(before, "stop"), shown(after, margin))
    ages = [each.rule for each in real_moth().findings if each.quantity == read]
    assert found[flown] == counted and ages and all(found[each] == after for each in ages)


@cache
def real_moth():
    return assessed(demo().entry_by_id("e-15"))
