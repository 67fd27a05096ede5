"""Which hours of the season are flyable: light, wind up to the limit; and in which of them each class stays inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from service.codes.rulebook import evaluate_all
from service.models.day import LaunchDay
from service.models.finding import Finding
from service.models.sizing import ClassHours, FlyableHours, HourCell
from service.planning.sizing.fleet import Fleet, rocket_facts
from service.planning.sizing.profiles import MOST_TOP_MPS
from service.planning.sizing.season import Light, Winds
from service.planning.words import figure

USUAL_LIMIT_MPS = 20.0 * 0.44704  # 20 mph, NAR safety codes; stands in where no code in force has a limit


@dataclass(frozen=True)
class WindLimit:
    """The lowest limit on the surface wind over the fleet, and the rule that sets it."""

    speed_mps: float
    rule: str | None
    words: str


def wind_limit(day: LaunchDay, fleet: Fleet) -> WindLimit:
    """The limit that the codes in force and the local rules set."""
    found: list[Finding] = []
    for rocket in fleet.rockets:
        facts = {**rocket_facts(day, rocket), "surface_wind_mps": 0.0, "gust_mps": 0.0}
        for finding in evaluate_all(day.codes, day.local_rules, facts):
            if finding.quantity == "surface_wind_mps" and finding.comparison == "at_most":
                if finding.limit_si is not None and finding.weight != "practice":
                    found.append(finding)
    if not found:
        words = (
            f"No rule in force limits the surface wind; {figure(USUAL_LIMIT_MPS, 'm/s')} (20 mph) stands in, the limit "
            "of the NAR safety codes."
        )
        return WindLimit(USUAL_LIMIT_MPS, None, words)
    least = min(found, key=lambda each: (each.limit_si or 0.0, each.rule))
    assert least.limit_si is not None and least.limit is not None
    printed = figure(least.limit, least.unit)
    metric = f" ({figure(least.limit_si, 'm/s')})" if least.unit != "m/s" else ""
    words = f"Surface wind up to {printed}{metric}: {least.source.clause}, the lowest over the fleet."
    if least.limit_si > MOST_TOP_MPS:
        words += f" No wind above {MOST_TOP_MPS:g} m/s is flown here: hours with more count as too windy."
    return WindLimit(min(least.limit_si, MOST_TOP_MPS), least.rule, words)


@dataclass(frozen=True)
class HourKinds:
    """Each hour is of one kind: dark, unknown (in light), windy or flyable."""

    dark: np.ndarray
    unknown: np.ndarray
    windy: np.ndarray
    flyable: np.ndarray


def hour_kinds(winds: Winds, light: Light, limit_mps: float) -> HourKinds:
    """The kind of every hour; a wind that is not known is unknown, whatever else holds."""
    known = winds.known
    with np.errstate(invalid="ignore"):
        calm_enough = winds.speed_mps <= limit_mps * (1.0 + 1e-9)
    return HourKinds(
        dark=~light.light,
        unknown=light.light & ~known,
        windy=light.light & known & ~calm_enough,
        flyable=light.light & known & calm_enough,
    )


def flyable_hours(
    fleet: Fleet,
    light: Light,
    kinds: HourKinds,
    limit: WindLimit,
    outside: Mapping[str, np.ndarray | None],
    outside_best: Mapping[str, np.ndarray | None],
    most_outside: float,
) -> FlyableHours:
    """Counts by month and hour, and by class.

    Parameters
    ----------
    outside, outside_best : mapping
        Class -> share outside in each hour, from the pads as they stand and from those found; None: not known.
    most_outside : float
        The policy's confidence.
    """
    counts = {letter: sum(each.count for each in fleet.of_class(letter)) for letter in fleet.letters}
    total = sum(counts.values())
    stays = {letter: kinds.flyable & (table <= most_outside) for letter, table in outside.items() if table is not None}
    whole: np.ndarray | None = None
    if len(stays) == len(counts):
        whole = np.sum([counts[letter] * marks for letter, marks in stays.items()], axis=0) / total
    cells = []
    for month in np.unique(light.month):
        for hour in range(24):
            here = (light.month == month) & (light.hour == hour)
            if not here.any():
                continue
            cells.append(
                HourCell(
                    month=int(month), hour=hour, hours=int(here.sum()), unknown=int((here & kinds.unknown).sum()),
                    dark=int((here & kinds.dark).sum()), windy=int((here & kinds.windy).sum()),
                    flyable=int((here & kinds.flyable).sum()),
                    fleet_share=None if whole is None else float(whole[here].mean()),
                )
            )  # fmt: skip
    lit = int((~kinds.dark).sum())
    flyable, unknown, windy = (int(each.sum()) for each in (kinds.flyable, kinds.unknown, kinds.windy))
    classes = []
    for letter in fleet.letters:
        marks, best = stays.get(letter), outside_best.get(letter)
        hours = None if marks is None else int(marks.sum())
        classes.append(
            ClassHours(
                letter=letter,
                hours=hours,
                share=None if hours is None or not lit else hours / lit,
                share_best=None
                if best is None or not lit
                else int((kinds.flyable & (best <= most_outside)).sum()) / lit,
            )
        )
    if lit:
        words = f"{flyable:,} of {lit:,} hours with light are flyable ({100.0 * flyable / lit:.0f} %)"
        silent = f", {unknown:,} have no reading and count as not flyable" if unknown else ""
        words += f"; {windy:,} are too windy{silent}."
    else:
        words = "None of the hours has light."
    return FlyableHours(
        limit_mps=limit.speed_mps, limit_rule=limit.rule, limit_words=limit.words, cells=tuple(cells),
        hours=int(light.light.size), dark=int(kinds.dark.sum()), unknown=unknown, windy=windy, flyable=flyable,
        share=flyable / lit if lit else None, classes=tuple(classes), words=words,
    )  # fmt: skip
