"""What is said about a field sized."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reports.amounts import Amount, Part, Words
from reports.figures import MINUS, amount_text
from reports.sentences import say
from service.models.day import LaunchDay
from service.models.designation import LETTERS
from service.models.policy import Policy
from service.models.sizing import (
    AffectedGround,
    CeilingAsk,
    FlyableHours,
    HeldBack,
    LeftOut,
    PadAdvice,
    PadDistance,
    PeopleShare,
    WindBin,
)
from service.planning.ground import Ground
from service.planning.sizing.fleet import Fleet
from service.planning.sizing.flight_line import Strip, level_of
from service.planning.sizing.flights import Flights
from service.planning.sizing.pad_search import Searched
from service.planning.table import share_words
from service.planning.words import compass_word, distance_in_words


def answer(
    day: LaunchDay, fleet: Fleet, left_out: Sequence[LeftOut], held: Sequence[HeldBack], bins: Sequence[WindBin],
    hours: FlyableHours, ceiling: CeilingAsk, affected: AffectedGround, pads: PadAdvice,
) -> tuple[str, ...]:  # fmt: skip
    """The answer, a sentence or two each."""
    out = left_out_words(left_out, fleet.letters)
    beside = (f"Left out. {out}" if out else "", say(held_back_words(held), "si"))
    return (
        class_words(day, bins), *(each for each in beside if each), hours.words, pads.words, ceiling.words,
        affected.words,
    )  # fmt: skip


def left_out_words(left_out: Sequence[LeftOut], letters: Sequence[str]) -> str:
    """Rockets that were not flown; '' where all were. `letters` are the classes that were."""
    if not left_out:
        return ""
    names = ", ".join(
        f"{each.rocket} (class {each.letter}, static margin {signed(each.margin_cal)} calibers)"
        for each in left_out
    )
    said = f"By estimate NOT stable, so that no landing of it can be reckoned: {names}."
    gone = [each for each in dict.fromkeys(each.letter for each in left_out) if each not in letters]
    if gone:
        said += f" No other rocket of class {' and '.join(gone)} is in the fleet: nothing is said of it."
    return said


def signed(number: float) -> str:
    """Two decimals, with a true minus.

    >>> signed(-1.44)
    '−1.44'
    """
    return f"{number:.2f}".replace("-", MINUS)


def held_back_words(held: Sequence[HeldBack]) -> Words:
    """Classes that one of their rockets holds back; '' where none is."""
    parts: list[Part] = []
    for each in held:
        whom = f"{each.rocket}, which glides" if each.glides else each.rocket
        parts.append(f"{' ' if parts else ''}Class {each.letter} is held back by {whom}: it stays inside ")
        parts += _winds(each.wind_mps) if each.wind_mps is not None else ["in no wind flown"]
        parts += [", without it ", *_winds(each.wind_without_mps), "."]
    return tuple(parts) if parts else ""


def _winds(wind_mps: float) -> list[Part]:
    return ["in winds up to ", Amount(wind_mps, "wind_speed")] if wind_mps else ["in calm air"]


def class_words(day: LaunchDay, bins: Sequence[WindBin]) -> str:
    """The highest class that stays inside, by wind: runs of speeds with one answer."""
    most = limit_words(day.policy.outside_caution)
    runs: list[tuple[str | None, float]] = []
    for each in bins:
        if runs and runs[-1][0] == each.highest_class:
            runs[-1] = (each.highest_class, each.wind_mps)
        else:
            runs.append((each.highest_class, each.wind_mps))
    said = [
        f"{f'up to {wind:g} m/s' if wind else 'in calm air'} "
        f"{'every class up to ' + letter if letter else 'not even the lowest class'}"
        for letter, wind in runs
    ]
    return f"With at most {most} of landings outside the boundary, from the pads as they stand: {'; '.join(said)}."


def limit_words(limit: float) -> str:
    """One of the organiser's limits, as it was set.

    >>> limit_words(0.01), limit_words(0.0005)
    ('1 %', '0.05 %')
    """
    return f"{100.0 * limit:.6g} %"


def line_words(strip: Strip, policy: Policy) -> str:
    """Where the people stand and what falls there."""
    way = compass_word(strip.bearing_deg)
    far = amount_text(Amount(strip.distance_m, "length"), "si")
    return (
        f"Flight line {far} to the {way} of the pads: over the season come down there "
        f"{people_words(strip.planned, strip.ballistic, policy)}."
    )


def people_words(planned: float, ballistic: float, policy: Policy) -> str:
    """How much of a rocket's landings lies among people, and what the organiser has set for that."""
    caution, stop = limit_words(policy.people_caution), limit_words(policy.people_stop)
    held = (
        f"OVER the organiser's limit of {stop}",
        f"over the organiser's limit for a caution, {caution}, under the one for a stop, {stop}",
        f"under the organiser's limit of {caution}",
    )[level_of(planned, ballistic, policy)]
    return (
        f"at most {share_words(planned)} of a rocket's landings as planned, and {share_words(ballistic)} should "
        f"nothing open: {held}"
    )


def pad_words(ground: Ground, day: LaunchDay, fleet: Fleet, searched: Searched, now: float | None) -> str:
    """The place found, beside the pads as they stand."""
    assert searched.found is not None
    best = searched.found.best
    pads = [ground.pad_at(pad) for pad in day.field.pads]
    east = best.at[0] - sum(each[0] for each in pads) / len(pads)
    north = best.at[1] - sum(each[1] for each in pads) / len(pads)
    lon_deg, lat_deg = ground.lonlat(*best.at)
    way = compass_word(math.degrees(math.atan2(east, north)))
    where = f"{distance_in_words(math.hypot(east, north))} {way} of those drawn"
    left = [letter for letter in fleet.letters if letter not in searched.served]
    whose = "the fleet's landings" if not left else f"the landings of classes up to {searched.served[-1]}"
    before = "" if left else f", from the pads as they stand {'not known' if now is None else share_words(now)}"
    said = (
        f"Best place for the pads: {lat_deg:.5f}, {lon_deg:.5f}, {where}; from there {share_words(best.inside)} of "
        f"{whose} in flyable hours come down inside{before}."
    )
    if left:
        said += f" No place on the field keeps the distances of class {' and '.join(left)}."
    lost = [
        number
        for number, each in enumerate(fleet.rockets)
        if each.letter in searched.served and searched.search and number not in searched.search.rockets
    ]
    if lost:
        names = ", ".join(fleet.rockets[number].name for number in lost)
        said += f" Not looked at, since they could not be flown in every wind: {names}."
    return said


def now_words(distances: Sequence[PadDistance], people: PeopleShare, policy: Policy) -> str:
    """Whether the pads and the people as they stand keep the codes."""
    said = say(distances_now(distances), "si")
    if people.planned is None or people.ballistic is None:
        return f"{said} No zone of people is drawn, or no flight is known: what falls among people is not known."
    return f"{said} Among the people as drawn come down {people_words(people.planned, people.ballistic, policy)}."


def distances_now(distances: Sequence[PadDistance]) -> Words:
    """Whether each rocket keeps its distances from its own pad as it stands: the worst, or the least to spare."""
    broken = [each for each in distances if each.met_now is False]
    open_ = [each for each in distances if each.met_now is None and each.found_now_m is not None]
    kept = [each for each in distances if each.met_now and each.found_now_m is not None and each.limit_m is not None]
    parts: list[Part] = []
    for number, each in enumerate(broken):
        parts += ["; " if number else "As the pads stand, NOT kept: ", *_rocket_distance(each)]
    for number, each in enumerate(open_):
        parts += ["; " if number else f"{'. ' if broken else ''}Not known whether kept: ", *_rocket_distance(each)]
    if kept and not parts:
        least = min(kept, key=lambda each: (each.found_now_m or 0.0) - (each.limit_m or 0.0))
        start = "As the pads stand, each rocket keeps every distance that the codes in force ask of its own pad; least "
        parts += [start + "to spare has ", *_rocket_distance(least)]
    elif not parts:
        parts.append("The codes in force ask for no distance from the pads to anything that is drawn")
    return (*parts, ".")


def _rocket_distance(each: PadDistance) -> list[Part]:
    where = each.words.replace("pad", f"pad {each.pad}", 1)
    parts: list[Part] = [f"{each.rocket}, {where} ", Amount(each.found_now_m, "length")]
    if each.limit_m is None:
        return [*parts, f", {each.printed}"]
    parts += [", at least ", Amount(each.limit_m, "length"), " asked for"]
    return [*parts, f" (kept from pad {' and '.join(each.kept_from)} only)"] if each.kept_from_some else parts


def notes(day: LaunchDay, fleet: Fleet, flights: Flights, wind_words: str, altitudes: bool) -> tuple[str, ...]:
    """Every assumption."""
    found = [
        f"{flights.samples} simulated flights for each rocket and wind, with the same draws of their errors in every "
        "wind.",
        "Guides stand upright and the earth does not turn, so that landings flown in one direction may be turned to "
        "any; between two speeds flown each landing is interpolated.",
        f"The air is that of the day's conditions ({day.conditions.temperature_c:g} °C, "
        f"{day.conditions.pressure_hpa:g} hPa) in every hour: a warmer hour lets a rocket fly a little higher.",
        "The turbulence is the standard one for each wind; the season's winds are hourly means without gusts.",
        flights.profiles.words,
        wind_words,
        "An hour is flyable when the sun is up from its start to its end and its wind is known and within the limit; "
        "an hour without a reading counts as unknown, never as flyable. Cloud, visibility, rain and airspace are not "
        "in the season's file and are not looked at.",
        "A class stays inside in a wind or an hour where at most "
        f"{limit_words(day.policy.outside_caution)} of its simulated landings as planned lie outside the boundary "
        "(the organiser's caution limit).",
        "The zones of people are taken as movable; parking, buildings, roads, lines, water, trees and ground to keep "
        "out of stay where they are. One pad area serves the whole fleet at the distances of its highest class.",
        "Parked cars stand as far from the pads as people; what comes down on them is not held against a limit.",
        "Distances to trees, water and power lines have no figure in the codes in force: pads keep off them, no more.",
        "The model errs too; that comes on top of every share.",
    ]
    if altitudes:
        found.append(
            "Greatest altitude: the rocket of the class that lands farthest, its motor's thrust and propellant scaled "
            "within the class, each try flown; the nominal apogee of the last one inside."
        )
    if any(rocket.entry.motor_count > 1 for rocket in fleet.rockets):
        found.append("Clusters were flown whole; one motor that stays unlit is in each entry's own assessment.")
    return tuple([*found, *fleet.notes])


def letters_words(letters: Sequence[str]) -> str:
    """The classes of one row: neighbours in the alphabet as a span.

    >>> letters_words(("1/2A", "A", "B")), letters_words(("D", "F", "G")), letters_words(("L",))
    ('1/2A to B', 'D, F, G', 'L')
    """
    places = [LETTERS.index(each) for each in letters]
    if len(places) > 2 and places[-1] - places[0] == len(places) - 1:
        return f"{letters[0]} to {letters[-1]}"
    return ", ".join(letters)


def whose_words(each: PadDistance) -> str:
    """Whose distance stands in a row: the rocket with the least room and its pad."""
    if each.found_now_m is None:
        return ""
    kept = f"; kept from pad {' and '.join(each.kept_from)} only" if each.kept_from_some else ""
    return f"{each.rocket}, pad {each.pad}{kept}"
