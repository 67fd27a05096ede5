"""The fleet: from entries, from a CSV of classes; what stands for a class, and what is refused."""

from __future__ import annotations

import pytest

from service.models.designation import class_bounds_ns
from service.planning.sizing.errors import NothingToSize, TableRefused
from service.planning.sizing.fleet import fleet_of_entries
from service.planning.sizing.fleet_csv import ALLOWED, read_fleet_csv
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import few, ground


def read(text: str):
    return read_fleet_csv(text, demo(), "fleet.csv", ground())


def test_entries_are_a_flight_each_in_the_order_of_their_classes():
    fleet = fleet_of_entries(demo(), ground())
    assert sum(each.count for each in fleet.rockets) == len(demo().entries)
    assert fleet.letters == ["1/2A", "A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "L"]
    cluster = next(each for each in fleet.rockets if "Twin Sedge" in each.name)
    assert cluster.letter == "D" and cluster.impulse_ns == pytest.approx(2 * cluster.motor.impulse_ns)
    assert few().letters == ["A", "D", "G"]


def test_entries_that_fly_alike_are_flown_once_and_counted_twice():
    first = demo().entries[1]
    twin = first.model_copy(update={"id": "e-99", "rocket": first.rocket.model_copy(update={"name": "Second Lark"})})
    other = first.model_copy(update={"id": "e-98", "delay_s": (first.delay_s or 0.0) + 2.0})
    fleet = fleet_of_entries(demo().model_copy(update={"entries": (first, twin, other)}), ground())
    assert sorted(each.count for each in fleet.rockets) == [1, 2]
    assert any(each.basis == f"entry {first.id}, e-99" for each in fleet.rockets)


def test_no_entry_is_no_fleet():
    with pytest.raises(NothingToSize, match="no entry"):
        fleet_of_entries(demo().model_copy(update={"entries": ()}), ground())


def test_every_class_has_a_rocket_that_belongs_to_it():
    fleet = read("class,count\n" + "\n".join(f"{letter},2" for letter in ALLOWED))
    assert fleet.letters == list(ALLOWED)
    for rocket in fleet.rockets:
        low_ns, high_ns = class_bounds_ns(rocket.letter)
        assert low_ns < rocket.impulse_ns <= high_ns
        weight_n = 9.80665 * rocket.liftoff_mass_kg
        assert 3.0 < rocket.motor.average_thrust_n / weight_n < 20.0  # 3 by NFPA 1127 4.9.1, recalled
        assert rocket.entry.rocket.overall_diameter_m > rocket.motor.diameter_m


def test_the_strongest_motor_on_offer_stands_for_its_class():
    (rocket,) = read("class,count\nG,3").rockets
    best = max(motor.impulse_ns for motor in demo().motors if motor.letter == "G")
    assert rocket.motor.impulse_ns == best and rocket.count == 3 and "strongest G" in rocket.basis


def test_what_is_stated_is_flown():
    text = "class,count,motor,mass_kg,diameter_m,length_m,canopy_diameter_m\nG,1,quillon-g52,0.75,0.066,1.3,0.8"
    (rocket,) = read(text).rockets
    assert rocket.motor.id == "quillon-g52"
    assert rocket.entry.rocket.mass_kg == 0.75 and rocket.entry.rocket.overall_length_m == 1.3
    assert rocket.entry.recovery[-1].diameter_m == 0.8


def test_from_the_i_class_on_there_are_two_events():
    events = {each.letter: len(each.entry.recovery) for each in read("class,count\nG,1\nH,1\nI,1\nL,1").rockets}
    assert events == {"G": 1, "H": 1, "I": 2, "L": 2}


@pytest.mark.parametrize(
    "row, where, said",
    [
        ("Z,1,,,", "line 2, class", "an impulse class"),
        ("P,1,,,", "line 2, class", "an impulse class"),
        ("C,0,,,", "line 2, count", "a whole number from 1"),
        ("C,2.5,,,", "line 2, count", "a whole number"),
        ("C,-3,,,", "line 2, count", "a whole number"),
        ("C,1,no-such,,", "line 2, motor", "a motor on offer"),
        ("C,1,quillon-g52,,", "line 2, motor", "a class C motor"),
        ("C,1,,heavy,", "line 2, mass_kg", "from 0.001 to 1,000 kg"),
        ("C,1,,,99", "line 2, diameter_m", "from 0.003 to 3 m"),
    ],
)
def test_a_bad_row_is_named(row, where, said):
    with pytest.raises(TableRefused) as refused:
        read(f"class,count,motor,mass_kg,diameter_m\n{row}")
    (fault,) = refused.value.faults
    assert str(fault).startswith(f"{where}: found") and said in str(fault)


def test_sizes_that_do_not_go_together_are_refused():
    with pytest.raises(TableRefused) as refused:
        read("class,count,diameter_m,length_m\nC,1,0.5,0.1")
    assert "line 2" in str(refused.value) and "at least the diameter" in str(refused.value)
