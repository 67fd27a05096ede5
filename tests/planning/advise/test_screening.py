"""Why a motor is not flown, each reason on its own; sizes and levels are those of the demo day's document."""

from __future__ import annotations

import pytest

from service.models.motor import AdjustableDelay, FixedDelays
from service.planning.advise.delays import delays_to_try, nearest_first
from service.planning.advise.motor_lever import motor_trial
from service.planning.advise.screening import (
    adapter_notes,
    adult_needed,
    ahead_of_mount_m,
    certification_needed,
    screened_out,
)
from tests.planning.advise.few_flights import demo


def reason(entry_id, motor_id, motor=None, **choices):
    day = demo()
    found = screened_out(day, day.entry_by_id(entry_id), motor or day.motor_by_id(motor_id), **choices)
    return (found.screened_for, found.why) if found else None


REASONS = [
    # rocket's mount and flyer in the document; why it has to be so
    ("e-07", "quillon-f35", "mount", "29 mm in diameter; the mount takes 24 mm"),
    ("e-07", "lantern-e12", "mount", "95 mm long; the mount takes 70 mm"),
    ("e-17", "marrow-hill-i310", None, ""),  # electronics open it, level 1 is enough for an I
    ("e-17", "tarn-bridge-j265", "flyer", "level 2; the flyer has 1"),  # J: level 2, association certification pages
    ("e-13", "quillon-g52", "flyer", "18 or older"),  # NFPA 1122 (2018) 4.9.2
    ("e-01", "lantern-a4", None, ""),  # open ended: 2 mm longer than the mount
]


@pytest.mark.parametrize(("entry_id", "motor_id", "screened_for", "words"), REASONS)
def test_reason(entry_id, motor_id, screened_for, words):
    found = reason(entry_id, motor_id)
    assert (found is None) == (screened_for is None)
    if found is not None:
        assert found[0] == screened_for and words in found[1]


def test_plugged_only_with_another_deployment():
    plugged = demo().motor_by_id("tarn-bridge-j265").delays
    motor = demo().motor_by_id("lantern-d9").model_copy(update={"delays": plugged})
    assert reason("e-07", "", motor)[0] == "delay"
    small = demo().motor_by_id("marrow-hill-i310").model_copy(update={"delays": plugged})
    assert reason("e-16", "", small) is None  # an altimeter opens both devices


def test_stock_and_adapters_and_reloads_by_experience():
    d9 = demo().motor_by_id("lantern-d9")
    assert reason("e-07", "", d9.model_copy(update={"stock": 0})) == ("stock", "None is left, and the rocket takes 1.")
    assert reason("e-08", "", demo().motor_by_id("lantern-c11").model_copy(update={"stock": 1}))[0] == "stock"
    assert reason("e-07", "", d9.model_copy(update={"stock": None})) is None  # not counted is not none
    assert reason("e-07", "lantern-c7") is None
    assert reason("e-07", "lantern-c7", adapters=False)[0] == "mount"
    reload = d9.model_copy(update={"case": "reload"})
    assert reason("e-07", "", reload) is None
    assert reason("e-07", "", reload, reloads=False)[0] == "experience"
    small = demo().motor_by_id("lantern-a4").model_copy(update={"case": "reload"})
    assert reason("e-02", "", small)[0] == "experience"  # a first flight
    assert reason("e-02", "", small, reloads=True) is None


def test_certification_follows_the_letter():
    """H and I level 1, J to L level 2 (association certification pages); a G of a model only an adult (NFPA 1122)."""
    day = demo()
    spire = day.entry_by_id("e-16")
    for motor_id, level in (("marrow-hill-i310", 1), ("tarn-bridge-j340", 2)):
        assert certification_needed(day, spire.model_copy(update={"motor": motor_id})) == level
    assert certification_needed(day, day.entry_by_id("e-07")) == 0
    assert not adult_needed(day, day.entry_by_id("e-07"))
    assert adult_needed(day, day.entry_by_id("e-13"))


def test_a_longer_motor_reaches_ahead_of_an_open_mount_only():
    day = demo()
    a4 = day.motor_by_id("lantern-a4")
    assert ahead_of_mount_m(day.entry_by_id("e-01"), a4) == pytest.approx(0.046 - 0.044)
    assert ahead_of_mount_m(day.entry_by_id("e-02"), a4) == 0.0


def test_drilled_steps_come_down_from_the_longest():
    """Counted by hand: 12 s drilled by 2 s down to 4 s, and 9 s by 2.5 s, which never meets its shortest of 1 s."""
    assert AdjustableDelay(kind="adjustable", longest_s=12.0, shortest_s=4.0, step_s=2.0).offered_s() == (
        4,
        6,
        8,
        10,
        12,
    )
    uneven = AdjustableDelay(kind="adjustable", longest_s=9.0, shortest_s=1.0, step_s=2.5).offered_s()
    assert uneven == (1.5, 4.0, 6.5, 9.0)
    assert nearest_first(uneven, 5.0) == (4.0, 6.5)
    assert nearest_first(FixedDelays(kind="fixed", seconds=(3.0, 5.0)).offered_s(), 9.0) == (
        5.0,
    )  # the nearest there is
    assert nearest_first((4.0, 6.0), 5.0) == (6.0, 4.0)  # a tie: the longer, which opens past the top


def test_behind_electronics_the_charge_is_a_backup():
    spire, motor = demo().entry_by_id("e-16"), demo().motor_by_id("marrow-hill-i185")
    assert delays_to_try(spire, motor, 9.2) == (12.0,)  # of 4, 6 ... 14: the first a second or more after the top
    assert delays_to_try(spire, motor, 13.9) == (14.0,)
    assert delays_to_try(spire, demo().motor_by_id("tarn-bridge-k490"), 9.0) == (None,)


def test_every_reason_is_given_and_the_first_is_named():
    """A reload of level 2 for a beginner, with none left."""
    reload = demo().motor_by_id("tarn-bridge-j265").model_copy(update={"case": "reload", "stock": 0})
    screened_for, why = reason("e-02", "", reload)
    assert screened_for == "mount"
    for words in ("the mount takes 13 mm", "Needs certification level 2", "starts with single use", "None is left"):
        assert words in why


def test_an_adapter_says_that_its_mass_is_not_reckoned():
    day = demo()
    entry = day.entry_by_id("e-07")
    (note,) = adapter_notes(entry, day.motor_by_id("lantern-c7"))
    assert "from 18 mm to 24 mm" in note and "mass is not reckoned" in note
    trial = motor_trial(entry, None, day.motor_by_id("lantern-c7"), 4.0, 1.0)
    assert trial.notes == (note,)
    assert not list(adapter_notes(entry, day.motor_by_id("lantern-d9")))
