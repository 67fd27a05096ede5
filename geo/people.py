"""Risk to people on the ground, reckoned as national ranges do: expected casualties and the chance for one person.

A yardstick to hold a field's layout against. It may raise a caution; it never clears one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geo.containment import Interval
from geo.errors import BadChance, BadSamples

COLLECTIVE_LIMIT = 1e-4  # expected casualties per launch, 14 CFR 450.101(a)(1)(i)
INDIVIDUAL_LIMIT = 1e-6  # chance of casualty per launch for one person, 14 CFR 450.101(a)(2)
PERSON_RADIUS_M = 0.3  # a standing person seen from above; ranges use one foot (from memory, not re-read)
PERSON_HEIGHT_M = 1.8  # six feet, the same

ASSUMPTIONS = (
    "People stand in the open, spread evenly over their zone; nobody sees it coming or steps aside.",
    "Landings in a zone are spread evenly over it.",
    "Whoever is touched is a casualty, however light or slow the rocket.",
    f"A person is a disc of {PERSON_RADIUS_M:g} m radius seen from above, and {PERSON_HEIGHT_M:g} m tall.",
    "Chances of each way of ending are the club's own figures; parts that come off are not counted.",
    "Only sampling error is in the upper figures; that the flight model errs too is not.",
)


@dataclass(frozen=True)
class ExposedZone:
    """A place with people in it."""

    name: str
    people: int
    area_m2: float


@dataclass(frozen=True)
class Share:
    """What one way of ending adds in one zone; `expected` and `expected_high` count casualties."""

    zone: str
    mode: str
    mode_chance: float
    landing_chance: float
    struck_share: float
    expected: float
    expected_high: float


@dataclass(frozen=True)
class Risk:
    """Expected casualties of one launch, and the greatest chance for any one person, each with an upper figure."""

    collective: float
    collective_high: float
    individual: float
    individual_high: float
    shares: tuple[Share, ...]
    collective_limit: float = COLLECTIVE_LIMIT
    individual_limit: float = INDIVIDUAL_LIMIT
    assumptions: tuple[str, ...] = ASSUMPTIONS

    @property
    def exceeds(self) -> bool:
        """Whether an upper figure is above its limit."""
        return self.collective_high > self.collective_limit or self.individual_high > self.individual_limit


def struck_area_m2(length_m: float, diameter_m: float, *, nose_first: bool, fall_angle_deg: float = 90.0) -> float:
    """Ground area in which a person's middle has to be to get hit.

    The body's outline from above, grown by a person's radius r: a disc of radius d/2 + r for a body that comes
    in nose first, a rectangle L by d with rounded corners, ``L d + 2 r (L + d) + pi r²``, for one that lies flat
    as it comes. A slanted path sweeps it along the ground by a person's height over tan(angle).

    Parameters
    ----------
    length_m, diameter_m : float
        The longest part that comes down in one piece. [m]
    nose_first : bool
        Ballistic, rather than tumbling or under a canopy.
    fall_angle_deg : float
        Path below the horizon at landing, over 0 to 90. [deg]

    Notes
    -----
    Geometry in the manner of range practice (RCC 321 supplement; from memory, not re-read); no skid or bounce.

    Examples
    --------
    >>> round(struck_area_m2(2.0, 0.1, nose_first=True), 3)
    0.385
    >>> round(struck_area_m2(2.0, 0.1, nose_first=False), 3)
    1.743
    """
    if not (0.0 < diameter_m <= length_m < math.inf):
        raise BadSamples(f"a body {length_m} m long and {diameter_m} m thick is none; both need to be above zero")
    if not 0.0 < fall_angle_deg <= 90.0:
        raise BadSamples(
            f"a path {fall_angle_deg} degrees below the horizon does not land; give more than 0, at most 90"
        )
    r = PERSON_RADIUS_M
    if nose_first:
        outline_m2 = math.pi * (r + 0.5 * diameter_m) ** 2
        across_m = diameter_m + 2.0 * r
    else:
        outline_m2 = length_m * diameter_m + 2.0 * r * (length_m + diameter_m) + math.pi * r**2
        across_m = length_m + 2.0 * r
    swept_m = 0.0 if fall_angle_deg == 90.0 else PERSON_HEIGHT_M / math.tan(math.radians(fall_angle_deg))
    return outline_m2 + across_m * swept_m


def with_planned(mode_chances: Mapping[str, float]) -> dict[str, float]:
    """Chances of all modes, `planned` being what the failures leave.

    Examples
    --------
    >>> round(with_planned({"no_deployment": 0.03, "drogue_only": 0.01})["planned"], 9)
    0.96
    """
    failures = {mode: chance for mode, chance in mode_chances.items() if mode != "planned"}
    if not all(0.0 <= chance <= 1.0 for chance in failures.values()) or sum(failures.values()) > 1.0:
        raise BadChance(f"mode chances {dict(failures)} need to be 0 to 1 each, and no more than 1 together")
    return {"planned": 1.0 - sum(failures.values()), **failures}


def casualty_expectation(
    zones: Sequence[ExposedZone],
    mode_chances: Mapping[str, float],
    landing_chances: Mapping[tuple[str, str], Interval | float],
    struck_areas_m2: Mapping[str, float],
) -> Risk:
    """Expected casualties, and the greatest individual chance.

    ``E_c = sum over modes and zones of  P(mode) P(zone | mode) N_zone min(1, A_struck / A_zone)``; the
    individual figure is the same without N, at its greatest over the zones.

    Parameters
    ----------
    zones : sequence of ExposedZone
    mode_chances : mapping of mode to chance
        Of every mode, `planned` too (see `with_planned`). [-]
    landing_chances : mapping of (mode, zone name) to Interval or float
        Chance of landing in the zone, given the mode. None may be missing. [-]
    struck_areas_m2 : mapping of mode to area
        See `struck_area_m2`. [m²]

    Raises
    ------
    BadChance
        If a chance is missing or out of range: unknown is never none.

    References
    ----------
    .. [1] 14 CFR 450.101(a), safety criteria per launch: collective 1e-4, individual 1e-6.
    .. [2] RCC 321, Common Risk Criteria Standards for National Test Ranges (form of the sum; from memory).
    """
    shares: list[Share] = []
    for zone in zones:
        if not (zone.area_m2 > 0.0 and math.isfinite(zone.area_m2)) or zone.people < 0:
            raise BadChance(f"zone {zone.name!r} with {zone.people} people on {zone.area_m2} m² cannot be reckoned")
        for mode, mode_chance in mode_chances.items():
            if (mode, zone.name) not in landing_chances or mode not in struck_areas_m2:
                raise BadChance(
                    f"mode {mode!r} has no chance of landing in {zone.name!r}, or no struck area; give both"
                )
            landing = landing_chances[mode, zone.name]
            low, high = (landing.estimate, landing.high) if isinstance(landing, Interval) else (landing, landing)
            if not (0.0 <= mode_chance <= 1.0 and 0.0 <= low <= high <= 1.0 and struck_areas_m2[mode] > 0.0):
                raise BadChance(f"mode {mode!r}, zone {zone.name!r}: chances need to be 0 to 1 and areas above zero")
            struck = min(1.0, struck_areas_m2[mode] / zone.area_m2)
            each = mode_chance * struck * zone.people
            shares.append(Share(zone.name, mode, mode_chance, low, struck, each * low, each * high))
    manned = {zone.name: zone.people for zone in zones if zone.people > 0}

    def greatest(figure: str) -> float:
        by_zone = dict.fromkeys(manned, 0.0)
        for share in shares:
            if share.zone in manned:
                by_zone[share.zone] += getattr(share, figure) / manned[share.zone]
        return max(by_zone.values(), default=0.0)

    return Risk(
        collective=math.fsum(share.expected for share in shares),
        collective_high=math.fsum(share.expected_high for share in shares),
        individual=greatest("expected"),
        individual_high=greatest("expected_high"),
        shares=tuple(shares),
    )
