"""The answer as the report prints it: sentences whose amounts take the reader's units."""

from __future__ import annotations

import math

from reports.amounts import Amount, Part, Words, joined
from service.models.day import LaunchDay
from service.models.sizing import Sizing
from service.planning.ground import Ground
from service.planning.sizing.affected import MODE_WORDS
from service.planning.sizing.wording import distances_now, held_back_words, left_out_words, limit_words, people_words
from service.planning.table import share_words
from service.planning.words import compass_word


def answer(sizing: Sizing, day: LaunchDay, ground: Ground) -> tuple[tuple[str, Words], ...]:
    """A bold word and a sentence each, what matters most first."""
    found: list[tuple[str, Words]] = [
        ("Classes", joined(_classes(sizing), *([" ", held] if (held := held_back_words(sizing.held_back)) else []))),
    ]
    left_out = left_out_words(sizing.left_out, [each.letter for each in sizing.fleet])
    if left_out:
        found.append(("Left out", left_out))
    found += [
        ("Hours", sizing.hours.words),
        ("Pads", _pads(sizing, day, ground)),
    ]
    line = sizing.pads.line
    if line is not None and line.people.planned is not None and line.people.ballistic is not None:
        found.append(
            (
                "Flight line",
                (
                    _length(line.distance_m), f" to the {compass_word(line.bearing_deg)} of the pads advised, ",
                    _length(line.length_m), " long: over the season come down on it ",
                    people_words(line.people.planned, line.people.ballistic, day.policy), ".",
                ),
            )
        )  # fmt: skip
    found.append(("As drawn", _now(sizing, day)))
    found.append(("Ceiling", _ceiling(sizing)))
    found.append(("Affected ground", _affected(sizing)))
    return tuple(found)


def _length(value_m: float | None) -> Amount:
    return Amount(value_m, "length")


def _classes(sizing: Sizing) -> Words:
    runs: list[tuple[str | None, float]] = []
    for each in sizing.winds:
        if runs and runs[-1][0] == each.highest_class:
            runs[-1] = (each.highest_class, each.wind_mps)
        else:
            runs.append((each.highest_class, each.wind_mps))
    most = limit_words(sizing.outside_caution)
    parts: list[Part] = [f"With at most {most} of landings outside the boundary, from the pads as they stand: "]
    for number, (letter, wind_mps) in enumerate(runs):
        join = "" if number == 0 else "; "
        whose = f"every class up to {letter}" if letter else "not even the lowest class"
        parts += [f"{join}{whose} in winds up to ", Amount(wind_mps, "wind_speed")] if wind_mps else [
            f"{join}{whose} in calm air"
        ]
    return (*parts, ".")


def _pads(sizing: Sizing, day: LaunchDay, ground: Ground) -> Words:
    pads = sizing.pads
    if not pads.found or pads.position is None or pads.inside_best is None:
        return pads.words
    lon_deg, lat_deg = pads.position
    letters = [each.letter for each in sizing.fleet]
    left = [letter for letter in letters if letter not in pads.served]
    whose = "the fleet's landings" if not left else f"the landings of classes up to {pads.served[-1]}"
    now = "" if left or pads.inside_now is None else f", from the pads as they stand {share_words(pads.inside_now)}"
    east, north = ground.frame.to_local(lon_deg, lat_deg)
    drawn = [ground.pad_at(pad) for pad in day.field.pads]
    east -= sum(at[0] for at in drawn) / len(drawn)
    north -= sum(at[1] for at in drawn) / len(drawn)
    parts: list[Part] = [
        f"Best at {lat_deg:.5f}, {lon_deg:.5f} (latitude, longitude), ",
        _length(float(f"{math.hypot(east, north):.2g}")),
        f" {compass_word(math.degrees(math.atan2(east, north)))} of those drawn, on ground about ",
        Amount(None if pads.area_m2 is None else float(f"{math.sqrt(pads.area_m2):.2g}"), "length"),
        f" across that is as good: {share_words(pads.inside_best)} of {whose} in flyable hours come down inside{now}.",
    ]
    if left:
        parts.append(f" No place on the field keeps the distances of class {' and '.join(left)}.")
    return tuple(parts)


def _now(sizing: Sizing, day: LaunchDay) -> Words:
    parts: list[Part] = [*distances_now(sizing.pads.distances)]
    people = sizing.pads.people_now
    if people.planned is None or people.ballistic is None:
        parts.append(" What falls among people is not known.")
    else:
        fallen = people_words(people.planned, people.ballistic, day.policy)
        parts.append(f" Where the people stand as drawn come down {fallen}.")
    return tuple(parts)


def _ceiling(sizing: Sizing) -> Words:
    ask = sizing.ceiling
    if ask.agl_ft is None or ask.msl_ft is None:
        return ask.words
    parts: list[Part] = [
        f"Ask for {ask.agl_ft:,.0f} ft above the field ({ask.agl_m:,.0f} m), {ask.msl_ft:,.0f} ft above sea level: "
        f"{ask.rocket} stays under ",
        _length(ask.apogee_upper_m),
        f" in {100.0 * ask.percentile:.0f} of 100 flights of the season, and {100.0 * ask.margin_share:.0f} % are "
        "added for what the model does not know.",
    ]
    if ask.present_agl_m is not None and ask.apogee_upper_m is not None:
        enough = ask.present_agl_m >= ask.apogee_upper_m * (1.0 + ask.margin_share)
        parts += [" The ceiling entered for the day, ", _length(ask.present_agl_m)]
        parts.append(f", {'is enough' if enough else 'is TOO LOW'} for that.")
    return tuple(parts)


def _affected(sizing: Sizing) -> Words:
    ground = sizing.affected
    if ground.radius_nmi is None or not ground.modes:
        return ground.words
    parts: list[Part] = [
        f"For the notice: {ground.radius_nmi:g} NM (", _length(ground.radius_m), ") around the pads holds ",
    ]  # fmt: skip
    parts.append(f"{100.0 * ground.share:.1f} of 100 landings of every rocket, however it ends. Farthest: ")
    for number, each in enumerate(sorted(ground.modes, key=lambda mode: -mode.radius_m)):
        parts += ["; " if number else "", f"{each.rocket}, {MODE_WORDS[each.mode]}, ", _length(each.radius_m)]
    return (*parts, ".")
