"""The sizing prints what the codes print: site dimensions and distances for every class, from the published tables.

Sources stand on top of the table. Feet are turned to metres by the international foot, 0.3048 m exactly.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from service.models.ceiling import Ceiling
from service.planning.sizing.dimensions import minimum_dimensions, pad_needs
from service.planning.sizing.fleet import Fleet, FleetRocket
from service.planning.sizing.fleet_csv import read_fleet_csv
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import ground
from tests.reference.printed import printed_table

FOOT_M = 0.3048
ROWS = printed_table("site_dimensions.csv")


def each_class(column: str = "class"):
    """The rows that have a figure in a column."""
    return pytest.mark.parametrize("row", [row for row in ROWS if row[column]], ids=lambda row: row["class"])


@cache
def rocket_of(letter: str) -> FleetRocket:
    return read_fleet_csv(f"class,count\n{letter},1", demo(), "one", ground()).rockets[0]


def model_rocket(row: dict[str, str]) -> FleetRocket:
    """A rocket of the class light and gentle enough for a model: one motor, or two for more than 160 N s."""
    rocket = rocket_of("G" if row["class"] == "H" else row["class"])
    motor = rocket.motor.model_copy(
        update={"thrust_curve": _curve(rocket, float(row["up_to_ns"]) / (2 if row["class"] == "H" else 1)),
                "propellant_mass_kg": min(rocket.motor.propellant_mass_kg, 0.06), "effect": None,
                "propellant": "composite"}
    )  # fmt: skip
    light = rocket.entry.rocket.model_copy(update={"mass_kg": 0.3})
    count = 2 if row["class"] == "H" else 1
    return replace(rocket, motor=motor, entry=rocket.entry.model_copy(update={"rocket": light, "motor_count": count}))


def _curve(rocket: FleetRocket, impulse_ns: float):
    """A long level burn of so much impulse, its average far under 80 N."""
    burn_s = max(2.0, impulse_ns / 60.0)
    thrust_n = impulse_ns / (burn_s - 0.1)
    return ((0.0, 0.0), (0.1, thrust_n), (burn_s - 0.1, thrust_n), (burn_s, 0.0))


def dimensions(rocket: FleetRocket, apogee_m: float = 100.0, day=None) -> dict[str, object]:
    fleet = Fleet((rocket,), "one")
    return {each.rule: each for each in minimum_dimensions(day or demo(), ground(), fleet, [apogee_m])}


@each_class("model_site_ft")
def test_model_site_dimensions(row):
    found = dimensions(model_rocket(row))["us-mr-site"]
    assert found.limit_m == pytest.approx(float(row["model_site_ft"]) * FOOT_M, rel=1e-12)
    assert found.printed == f"{float(row['model_site_ft']):,.0f} ft"
    assert found.letter == row["class"] and found.in_force and found.met


@each_class()
def test_people_stand_as_far_as_printed(row):
    rocket = model_rocket(row) if row["model_people_ft"] else rocket_of(row["class"])
    need = pad_needs(demo(), Fleet((rocket,), "one"), [100.0])["people_distance_m"]
    column = "model_people_ft" if row["model_people_ft"] else "hpr_personnel_ft"
    assert need.limit_m == pytest.approx(float(row[column]) * FOOT_M, rel=1e-12)


@each_class("hpr_personnel_ft")
def test_high_power_distances(row):
    rocket = rocket_of(row["class"])
    half = replace(
        rocket,
        motor=rocket.motor.model_copy(
            update={"thrust_curve": tuple((t, 0.5 * f) for t, f in rocket.motor.thrust_curve)}
        ),
        entry=rocket.entry.model_copy(
            update={"motor_count": 2, "rocket": rocket.entry.rocket.model_copy(update={"mass_kg": 5.0})}
        ),
    )
    for each, column in ((rocket, "hpr_personnel_ft"), (half, "hpr_complex_ft")):
        assert each.letter == row["class"]
        needs = pad_needs(demo(), Fleet((each,), "one"), [100.0])
        assert needs["people_distance_m"].limit_m == pytest.approx(float(row[column]) * FOOT_M, rel=1e-12)
        # item 11: the launcher as far from the boundary as the personnel column says
        assert needs["edge_distance_m"].limit_m == pytest.approx(float(row["hpr_personnel_ft"]) * FOOT_M, rel=1e-12)


@pytest.mark.parametrize("ceiling_ft, site_ft", [(2500, 1500), (3000, 1500), (6000, 3000), (10000, 5000)])
def test_a_high_power_site_is_half_the_permitted_altitude_or_1500_feet(ceiling_ft, site_ft):
    day = demo().model_copy(update={"ceiling": Ceiling(height_m=ceiling_ft * FOOT_M, datum="agl")})
    found = dimensions(rocket_of("K"), 700.0, day)["us-hpr-site"]
    assert found.limit_m == pytest.approx(site_ft * FOOT_M) and found.printed == f"{site_ft:,} ft"
    assert found.met is (ground().min_dimension_m >= site_ft * FOOT_M)


@pytest.mark.parametrize("apogee_ft, distance_ft", [(3000, 1500), (6000, 1500), (10000, 2500), (20000, 5000)])
def test_outsiders_are_a_quarter_of_the_apogee_away_or_1500_feet(apogee_ft, distance_ft):
    """14 CFR 101.25(g), read: one-quarter of the maximum expected altitude or 457 m (1,500 ft)."""
    found = dimensions(rocket_of("K"), apogee_ft * FOOT_M)["us-far-separation"]
    assert found.what == "outsiders" and found.limit_m == pytest.approx(distance_ft * FOOT_M, rel=1e-9)


@pytest.mark.parametrize(
    "apogee_ft, site_m",
    [(1000, 500), (3000, 500), (5000, 1000), (6000, 1000), (9000, 2000), (10000, 2000), (12000, 3000), (12001, None)],
)
def test_canadian_sites_go_by_the_altitude(apogee_ft, site_m):
    """CAR High Power Rocketry Safety Code, site dimensions, web edition, read; above 12,000 ft case by case."""
    found = dimensions(rocket_of("K"), apogee_ft * FOOT_M)["ca-hpr-site"]
    assert found.limit_m == site_m and not found.in_force
    assert (found.met is None) == (site_m is None)
    if site_m is None:
        assert found.printed == "case by case"


def test_what_is_not_known_of_the_flight_is_not_known_of_the_field():
    found = {each.rule: each for each in minimum_dimensions(demo(), ground(), Fleet((rocket_of("K"),), "one"), [None])}
    assert found["us-far-separation"].limit_m is None and found["us-far-separation"].met is None
