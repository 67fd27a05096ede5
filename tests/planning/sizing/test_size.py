"""A field sized as a whole: the same twice whatever the threads, progress, calling off, and what is said."""

from __future__ import annotations

import re
import threading
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
import shapely

from service.models.sizing import Sizing
from service.planning.advise.errors import AdviceStopped
from service.planning.sizing.errors import NothingToSize
from service.planning.sizing.fleet_csv import read_fleet_csv
from service.planning.sizing.season_csv import read_winds_csv
from service.planning.sizing.size import size_field
from service.planning.sizing.text import sizing_lines
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import few, ground, winds_text

QUICK = {"samples": 64, "threads": 1}


@cache
def winds():
    return read_winds_csv(winds_text(hours=240), "short season")


@cache
def sized() -> tuple[Sizing, list]:
    told: list = []
    found = size_field(demo(), winds(), few(), ground=ground(), progress=lambda *each: told.append(each), **QUICK)
    return found, told


def test_the_same_twice_whatever_the_threads():
    again = size_field(demo(), winds(), few(), ground=ground(), samples=64, threads=2)
    assert again.model_dump_json() == sized()[0].model_dump_json()


def test_it_goes_through_json_unchanged():
    assert Sizing.model_validate_json(sized()[0].model_dump_json()) == sized()[0]


def test_progress_runs_forward_to_its_end():
    _, told = sized()
    done = [each[0] for each in told]
    assert done == sorted(done) and told[-1][0] == told[-1][1] and len(set(done)) > 20
    assert {each[1] for each in told} == {told[0][1]}


@pytest.mark.parametrize("part", ["A2", "places for the pads", "altitudes"])
def test_called_off_in_any_part(part):
    stop = threading.Event()

    def watch(done, total, what):
        if part in what or (part == "A2" and done > 2):
            stop.set()

    with pytest.raises(AdviceStopped):
        size_field(demo(), winds(), few(), ground=ground(), should_stop=stop, progress=watch, **QUICK)


def test_every_class_stands_in_every_wind():
    found = sized()[0]
    letters, speeds = [each.letter for each in found.fleet], [each.wind_mps for each in found.winds]
    assert letters == ["A", "D", "G"] and speeds == [0.0, 1.5, 3.0, 4.5, 6.0, 7.5]
    assert [(cell.letter, cell.wind_mps) for cell in found.shares] == [(a, b) for a in letters for b in speeds]
    assert sum(each.share for each in found.winds) == pytest.approx(1.0, abs=0.2)  # hours above the limit are no bin


def test_more_wind_never_brings_more_landings_home_here():
    """On this field, from its middle, with landings all down wind."""
    cells = [cell for cell in sized()[0].shares if cell.letter == "G"]
    shares = [cell.inside.estimate for cell in cells]
    assert all(later <= earlier + 0.02 for earlier, later in pairwise(shares))
    radii = [cell.radius_m for cell in cells]
    assert radii == sorted(radii)


def test_the_highest_class_is_that_up_to_which_every_one_stays_inside():
    found = sized()[0]
    for each in found.winds:
        stays = [cell.letter for cell in found.shares
                 if cell.wind_mps == each.wind_mps and 1 - cell.inside.estimate <= found.outside_caution]  # fmt: skip
        expected = None
        for fleet_class in found.fleet:
            if fleet_class.letter not in stays:
                break
            expected = fleet_class.letter
        assert each.highest_class == expected


def test_the_place_found_is_on_the_field_and_its_area_around_it():
    found = sized()[0].pads
    assert found.found and found.served == ("A", "D", "G")
    boundary = shapely.geometry.shape(demo().field.boundary.model_dump(mode="json"))
    at = shapely.Point(found.position)
    assert boundary.contains(at) and shapely.geometry.shape(found.area).covers(at)
    assert boundary.contains(shapely.geometry.shape(found.line.geometry))
    assert found.inside_best >= found.coarse_best
    assert all(each.met_best for each in found.distances)


def test_the_altitude_can_be_left_out():
    found = size_field(demo(), winds(), few(), ground=ground(), altitudes=False, **QUICK)
    assert {cell.altitude.words for cell in found.shares} == {"not searched for"}
    assert [cell.inside for cell in found.shares] == [cell.inside for cell in sized()[0].shares]


def test_a_rocket_that_cannot_be_flown_leaves_its_class_unknown():
    fleet = read_fleet_csv("class,count,mass_kg\nA,5,\nC,3,4.0", demo(), "heavy", ground())
    found = size_field(demo(), winds(), fleet, ground=ground(), altitudes=False, **QUICK)
    heavy = [cell for cell in found.shares if cell.letter == "C"]
    assert all(cell.inside is None for cell in heavy) and all("class C" in cell.unknown for cell in heavy)
    assert {each.highest_class for each in found.winds} == {"A"}
    assert next(each for each in found.hours.classes if each.letter == "C").share is None
    assert "could not be flown in every wind" in found.pads.words and "1 of 2 rockets" in found.ceiling.words
    assert found.pads.inside_now is None


def test_a_season_without_a_flyable_hour_is_refused():
    night = read_winds_csv("time,wind_speed_mps,wind_from_deg\n2026-06-01T02:00:00-05:00,3,200")
    with pytest.raises(NothingToSize, match="no hour of the season"):
        size_field(demo(), night, few(), ground=ground(), **QUICK)


@pytest.mark.parametrize("samples", [0, 32, 100])
def test_a_count_of_samples_that_cannot_be_drawn_is_refused(samples):
    with pytest.raises(NothingToSize, match="power of two"):
        size_field(demo(), winds(), few(), ground=ground(), samples=samples)


def test_one_hour_with_a_wind_aloft_is_season_enough():
    text = winds_text(hours=1, aloft=True, start="2026-06-01T12:00:00-05:00")
    one = replace(few(), rockets=few().rockets[:1])
    found = size_field(demo(), read_winds_csv(text), one, ground=ground(), altitudes=False, **QUICK)
    assert found.hours.flyable == 1 and found.season.aloft_height_m == 600.0
    assert all(cell.inside is not None for cell in found.shares)


def test_said_in_lines():
    found = sized()[0]
    text = "\n".join(sizing_lines(found, demo()))
    assert all(cell.letter in text for cell in found.shares) and "Local code" in text
    assert not re.search(r"\b(un)?safe\b", text, re.IGNORECASE)
    assert max(len(line) for line in text.splitlines()) <= 118
    assert str(found.sheet.open_items) in text
