"""The risk to people on the ground: every mode's chance of landing among them, weighed by how often it happens."""

from __future__ import annotations

import math
from collections.abc import Mapping

from geo.containment import Interval, chance_per_zone
from geo.errors import GeoError
from geo.people import ExposedZone, casualty_expectation, struck_area_m2
from service.models.assessment import Mode, PeopleRisk, RiskShare
from service.planning.flight_inputs import FlightInputs
from service.planning.footprints import Cloud
from service.planning.ground import Ground

NOT_COUNTED = "NOT COUNTED"  # loud: what follows would raise the figures
MIN_FALL_ANGLE_DEG = 10.0  # below this the swept ground of a glide grows without end; gliders flare


def people_risk(
    ground: Ground, clouds: list[Cloud], chances: Mapping[Mode, float], inputs: FlightInputs
) -> tuple[PeopleRisk | None, str]:
    """Expected casualties over all modes, or None and why.

    A zone of people without a number leaves the whole unknown. Cars and buildings without one are left out of the sum,
    and the first of its assumptions names them.
    """
    manned = [zone for zone in ground.of_kind("people", "parking", "building") if zone.zone.people != 0]
    uncounted = [zone.name for zone in manned if zone.zone.people is None and zone.kind == "people"]
    if uncounted:
        return None, f"how many people stand in {', '.join(uncounted)} is not stated"
    left_out = [zone.name for zone in manned if zone.zone.people is None and zone.zone.occupied is not False]
    counted = [zone for zone in manned if zone.zone.people]
    if not counted:
        return None, "no zone with a number of people is drawn"
    if any(cloud.lost for cloud in clouds):
        return None, "some of the dispersed flights could not be computed"
    landing: dict[tuple[str, str], Interval] = {}
    struck: dict[str, float] = {}
    for cloud in clouds:
        found = chance_per_zone(
            cloud.east_m, cloud.north_m, {zone.name: zone.area for zone in counted}, replicate_ids=cloud.replicate
        )
        landing.update({(cloud.mode, name): interval for name, interval in found.items()})
        ballistic = cloud.mode == "no_deployment"
        angle = math.degrees(math.atan2(cloud.down_mps or 1.0, cloud.across_mps))
        struck[cloud.mode] = struck_area_m2(
            inputs.length_m, inputs.diameter_m, nose_first=ballistic, fall_angle_deg=max(angle, MIN_FALL_ANGLE_DEG)
        )
    exposed = [ExposedZone(zone.name, int(zone.zone.people or 0), float(zone.area.area)) for zone in counted]
    try:
        risk = casualty_expectation(exposed, {str(mode): chance for mode, chance in chances.items()}, landing, struck)
    except GeoError as error:
        return None, str(error)
    shares = []
    for cloud in clouds:
        parts = [part for part in risk.shares if part.mode == cloud.mode]
        by_zone = [part.expected / max(zone.people, 1) for part, zone in zip(parts, exposed, strict=True)]
        shares.append(
            RiskShare(
                mode=cloud.mode,
                mode_chance=chances[cloud.mode],
                people_chance=min(1.0, sum(part.landing_chance for part in parts)),
                individual=max(by_zone, default=0.0),
                collective=sum(part.expected for part in parts),
            )
        )
    return (
        PeopleRisk(
            collective=risk.collective,
            collective_high=risk.collective_high,
            collective_limit=risk.collective_limit,
            individual=risk.individual,
            individual_high=risk.individual_high,
            individual_limit=risk.individual_limit,
            shares=tuple(shares),
            assumptions=(*_left_out_words(left_out), *risk.assumptions),
        ),
        "",
    )


def _left_out_words(names: list[str]) -> tuple[str, ...]:
    if not names:
        return ()
    return (
        f"{NOT_COUNTED}, since how many people are there is not stated: {', '.join(names)}. "
        "With them the risk is greater than the figures here.",
    )


def yardstick_words(risk: PeopleRisk) -> str:
    """Both sums with their upper figures beside the yardstick, and what they leave out; they clear no flight."""
    together, one = (
        f"{_in_a_million(figure)} in a million, upper figure {_in_a_million(high)}, yardstick {_in_a_million(limit)}"
        for figure, high, limit in (
            (risk.collective, risk.collective_high, risk.collective_limit),
            (risk.individual, risk.individual_high, risk.individual_limit),
        )
    )
    said = (
        f"All ways of ending: people struck a flight {together}; the person most exposed {one}. "
        "The yardstick, 14 CFR 450.101(a), is no clearance."
    )
    return " ".join((said, *(line for line in risk.assumptions if line.startswith(NOT_COUNTED))))


def _in_a_million(figure: float) -> str:
    """A small figure, two digits.

    >>> _in_a_million(1e-4), _in_a_million(6.23e-7), _in_a_million(0.0), _in_a_million(1e-9)
    ('100', '0.62', '0', 'under 0.01')
    """
    millionths = 1e6 * figure
    if 0.0 < millionths < 0.01:
        return "under 0.01"
    return f"{millionths:,.0f}" if millionths >= 9.5 else f"{millionths:.2g}"
