"""The fleet, the season and its winds, as the result keeps them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from service.models.day import LaunchDay
from service.models.sizing import FleetClass, GreatestAltitude, RoseSector, Season, ShareCell, SizedRocket, WindBin
from service.planning.sizing.fleet import Fleet, rocket_facts
from service.planning.sizing.flights import Flights
from service.planning.sizing.profiles import Profiles
from service.planning.sizing.season import Winds, rose

NOT_SEARCHED = GreatestAltitude(apogee_m=None, impulse_ns=None, bound="unknown", words="not searched for")


def middle(flights: Flights) -> int:
    """Place of the middle one of the speeds flown."""
    return flights.profiles.speeds_mps.size // 2


def farthest(fleet: Fleet, flights: Flights, letter: str) -> int:
    """The rocket of a class that lands farthest from its pad in the middle wind; one not flown comes last."""

    def reach_m(number: int) -> float:
        flown = flights.of(number, 0, middle(flights))
        return -1.0 if flown.why else float(np.quantile(np.hypot(*flown.landings["planned"].T), 0.95))

    members = [number for number, rocket in enumerate(fleet.rockets) if rocket.letter == letter]
    return max(members, key=lambda number: (reach_m(number), -number))


def fleet_classes(day: LaunchDay, fleet: Fleet, flights: Flights) -> Iterator[FleetClass]:
    """The fleet, class by class."""
    for letter in fleet.letters:
        rockets = []
        for number, rocket in enumerate(fleet.rockets):
            if rocket.letter != letter:
                continue
            facts = rocket_facts(day, rocket)
            faa, kind = facts["faa_class"], facts["category"]
            many = f"{rocket.entry.motor_count} × " if rocket.entry.motor_count > 1 else ""
            rockets.append(
                SizedRocket(
                    name=rocket.name, letter=letter, count=rocket.count,
                    motor=f"{many}{rocket.motor.maker} {rocket.motor.designation}", impulse_ns=rocket.impulse_ns,
                    liftoff_mass_kg=rocket.liftoff_mass_kg,
                    apogee_m=flights.of(number, 0, middle(flights)).apogee_m,
                    category=kind if isinstance(kind, str) else None, faa_class=faa if isinstance(faa, int) else None,
                    basis=rocket.basis, unknown=flights.why(number),
                )
            )  # fmt: skip
        tallest = fleet.rockets[farthest(fleet, flights, letter)].name
        count = sum(each.count for each in rockets)
        yield FleetClass(letter=letter, count=count, rockets=tuple(rockets), tallest=tallest)


def season(winds: Winds, lit: np.ndarray, profiles: Profiles, day: LaunchDay) -> Season:
    """The winds that were used."""
    from zoneinfo import ZoneInfo

    zone = ZoneInfo(day.timezone)
    known = winds.speed_mps[winds.known]
    return Season(
        source=winds.source,
        first=winds.starts[0].astimezone(zone).isoformat(),
        last=winds.starts[-1].astimezone(zone).isoformat(),
        hours=len(winds.starts),
        known=int(winds.known.sum()),
        mean_mps=float(known.mean()) if known.size else None,
        wind_height_m=winds.height_m,
        aloft_height_m=winds.aloft_height_m,
        profile=profiles.words,
        rose=tuple(RoseSector(from_deg=origin, share=share, mean_mps=mean) for origin, share, mean in rose(winds, lit)),
        fingerprint=winds.fingerprint,
    )


def wind_bins(
    winds: Winds, lit: np.ndarray, speeds_mps: np.ndarray, shares: Sequence[ShareCell], fleet: Fleet,
    most_outside: float,
) -> list[WindBin]:  # fmt: skip
    """Each wind flown: how often it is the nearest, and the highest class up to which every one stays inside."""
    speed = winds.speed_mps[lit]
    step = float(speeds_mps[1] - speeds_mps[0])
    nearest = np.round(speed / step).astype(int)
    found = []
    for number, speed_mps in enumerate(speeds_mps):
        highest = None
        for letter in fleet.letters:
            cell = next(each for each in shares if each.letter == letter and each.wind_mps == speed_mps)
            if cell.inside is None or 1.0 - cell.inside.estimate > most_outside:
                break
            highest = letter
        share = float(np.mean(nearest == number)) if speed.size else 0.0
        found.append(WindBin(wind_mps=float(speed_mps), share=share, highest_class=highest))
    return found
