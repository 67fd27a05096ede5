"""Diameters along a body, by the geometry of a cone."""

from __future__ import annotations

import pytest

from service.models.airframe import Airframe
from service.models.rocket import Rocket
from tests.builders import small_day


def stepped() -> Airframe:
    """A nose to 0.3 m, a 60 mm tube, a cone from 0.8 to 0.9 m, an 80 mm tube."""
    return Airframe.model_validate(small_day()["entries"][1]["rocket"]["airframe"])


@pytest.mark.parametrize(
    ("station_m", "diameter_m"), [(0.3, 0.06), (0.8, 0.06), (0.85, 0.07), (0.875, 0.075), (0.9, 0.08), (1.7, 0.08)]
)
def test_a_transition_is_a_straight_cone(station_m, diameter_m):
    assert stepped().diameter_at_m(station_m) == pytest.approx(diameter_m)


def test_ends_are_as_wide_as_their_neighbours():
    assert stepped().nose_diameter_m == 0.06
    assert stepped().aft_diameter_m == 0.08


def test_sizes_come_from_the_airframe_or_from_the_bare_figures():
    drawn, bare = (Rocket.model_validate(small_day()["entries"][i]["rocket"]) for i in (0, 2))
    assert (drawn.overall_length_m, drawn.overall_diameter_m) == (0.42, 0.025)
    assert (bare.overall_length_m, bare.overall_diameter_m) == (0.7, 0.042)
