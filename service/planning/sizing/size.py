"""Size a field: fly the fleet in the season's winds, and hold the landings against the ground and the codes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from service.models.assessment import Mode
from service.models.day import LaunchDay
from service.models.sizing import ShareCell, Sizing
from service.planning.advise.errors import AdviceStopped
from service.planning.advise.trials import Progress, Stop, stopper
from service.planning.assess import SEED
from service.planning.ground import Ground, ground_of
from service.planning.sizing import describe, wording
from service.planning.sizing.affected import affected_ground
from service.planning.sizing.altitude import AltitudeSearch
from service.planning.sizing.ceiling import ceiling_to_ask, upper_apogee_m
from service.planning.sizing.data_sheet import data_sheet
from service.planning.sizing.dimensions import minimum_dimensions
from service.planning.sizing.errors import NothingToSize
from service.planning.sizing.fleet import Fleet, fleet_of_entries
from service.planning.sizing.flights import KERNEL_MODES, Flights, fly_all
from service.planning.sizing.held_back import held_back
from service.planning.sizing.hours import flyable_hours, hour_kinds, wind_limit
from service.planning.sizing.pad_advice import pad_advice
from service.planning.sizing.pad_distances import pad_distances
from service.planning.sizing.pad_search import search_pads
from service.planning.sizing.profiles import SPEED_STEP_MPS, profiles_of, speeds_to_fly
from service.planning.sizing.season import Winds, light_of
from service.planning.sizing.season_cloud import SEASON_POINTS, Cells, cell_numbers, cells_of, season_points
from service.planning.sizing.shares import (
    class_chance,
    class_outside_table,
    class_radius_m,
    wind_cells,
)
from service.planning.sizing.sheet_answers import Flown
from service.planning.sizing.unsteady import without_unsteady
from service.version import engine

SAMPLES = 256
LEAST_SAMPLES, LEAST_POINTS = 64, 512
MANY_ROCKETS = 40  # of a larger fleet each rocket is flown fewer times
ALTITUDE_SAMPLES = 128
ALTITUDE_TRIES = 3  # a class and wind take about so many
SEARCH_STEPS = 40  # of the progress, for the pads

Landings = Mapping[tuple[int, Mode], np.ndarray]


@dataclass
class _Steps:
    """Progress over all parts, which never runs backwards."""

    told: Progress
    total: int
    done: int = 0

    def to(self, done: int, what: str) -> None:
        self.done = min(max(self.done, done), self.total)
        self.told(self.done, self.total, what)


def size_field(
    day: LaunchDay,
    winds: Winds,
    fleet: Fleet | None = None,
    *,
    ground: Ground | None = None,
    samples: int = SAMPLES,
    altitudes: bool = True,
    threads: int | None = None,
    progress: Progress | None = None,
    should_stop: Stop = None,
) -> Sizing:
    """Hold a field against a fleet and a season.

    Parameters
    ----------
    day : LaunchDay
        Field, codes, policy, ceilings, air.
    winds : Winds
        The season, from `read_winds_csv`.
    fleet : Fleet, optional
        From `read_fleet_csv`; the day's entries by default.
    ground : Ground, optional
        `ground_of(day)`.
    samples : int
        Flights a rocket and wind, a power of two; of a fleet of many rockets each is flown half or a quarter as often.
    altitudes : bool
        Whether to search for the greatest altitude of each class and wind.
    threads : int, optional
        Default: as many as there are processors. The answer does not depend on it.
    progress : callable, optional
        Called with (steps done, steps in all, what).
    should_stop : callable or Event, optional
        Asked between flights and places.

    Raises
    ------
    NothingToSize
        Without a fleet, or with no hour in the season that could be flown.
    AdviceStopped
        When called off.
    """
    if samples < LEAST_SAMPLES or samples & (samples - 1):
        raise NothingToSize(f"samples: found {samples}; a power of two, {LEAST_SAMPLES} or more, is needed")
    ground = ground or ground_of(day)
    fleet = fleet or fleet_of_entries(day, ground)
    share = max(1, len(fleet.rockets) // MANY_ROCKETS)
    samples = max(LEAST_SAMPLES, samples >> min(share.bit_length() - 1, 2))
    stop = stopper(should_stop)
    light = light_of(winds, day)
    limit = wind_limit(day, fleet)
    kinds = hour_kinds(winds, light, limit.speed_mps)
    if not kinds.flyable.any():
        raise NothingToSize(
            f"no hour of the season has light and a known wind up to {limit.speed_mps:.3g} m/s; nothing to size for"
        )
    lit = light.light & winds.known
    speeds = speeds_to_fly(limit.speed_mps)
    profiles = profiles_of(winds, lit & (winds.speed_mps <= speeds[-1]), speeds)
    everyone = fleet
    fleet, left_out = without_unsteady(day, fleet, profiles.flown[0][0])
    if not fleet.rockets:
        raise NothingToSize(f"{wording.left_out_words(left_out, fleet.letters)} Nothing to size for")
    flights_to_do = len(fleet.rockets) * profiles.layers * speeds.size
    searches = len(fleet.letters) * speeds.size if altitudes else 0
    steps = _Steps(
        progress or (lambda done, total, what: None), flights_to_do + SEARCH_STEPS + ALTITUDE_TRIES * searches + 1
    )
    flights = fly_all(day, fleet.rockets, profiles, samples, threads, stop, lambda done, what: steps.to(done, what))
    cells = cells_of(winds, profiles, kinds.flyable)
    landings = _season_landings(flights, fleet, cells, max(SEASON_POINTS // share, LEAST_POINTS))
    apogees = [_apogee_m(flights, number) for number in range(len(fleet.rockets))]
    searched = search_pads(
        day, ground, fleet, landings, apogees, stop,
        lambda done, total: steps.to(flights_to_do + SEARCH_STEPS * done // max(total, 1), "places for the pads"),
    )  # fmt: skip
    best_at = searched.found.best.at if searched.found else None
    tops = [upper_apogee_m(flights, number, cells) for number in range(len(fleet.rockets))]
    ceiling = ceiling_to_ask(day, fleet, tops)
    affected = affected_ground(day, ground, fleet, landings, best_at)
    outside, outside_best = _outside_by_hour(winds, fleet, flights, ground, best_at)
    hours = flyable_hours(fleet, light, kinds, limit, outside, outside_best, day.policy.outside_caution)
    lit_cells = cells_of(winds, profiles, lit & (winds.speed_mps <= speeds[-1]))
    shares = _shares(
        day, ground, fleet, flights, lit_cells, best_at, altitudes, stop,
        lambda number: steps.to(flights_to_do + SEARCH_STEPS + ALTITUDE_TRIES * number, "altitudes"),
    )  # fmt: skip
    bins = describe.wind_bins(winds, lit, speeds, shares, fleet, day.policy.outside_caution)
    held = tuple(held_back(fleet, flights, lit_cells, ground.boundary, day.policy.outside_caution))
    asked = _of_everyone(everyone, fleet, apogees)  # the codes ask of a rocket that is left out as well
    distances = tuple(pad_distances(day, ground, everyone, asked, searched))
    pads = pad_advice(day, ground, fleet, landings, searched, distances)
    landed = tuple((fleet.rockets[number], mode, points) for (number, mode), points in landings.items())
    flown = Flown(landed, profiles.flown[0][0])
    steps.to(steps.total, "done")
    return Sizing(
        day=day.name,
        date=day.date.isoformat(),
        timezone=day.timezone,
        field=day.field.name,
        min_dimension_m=ground.min_dimension_m,
        fleet_source=fleet.source,
        fleet=tuple(describe.fleet_classes(day, fleet, flights)),
        left_out=left_out,
        held_back=held,
        season=describe.season(winds, lit, profiles, day),
        winds=tuple(bins),
        shares=tuple(shares),
        dimensions=tuple(minimum_dimensions(day, ground, everyone, asked)),
        ceiling=ceiling,
        affected=affected,
        hours=hours,
        pads=pads,
        sheet=data_sheet(day, everyone, _of_everyone(everyone, fleet, tops), ceiling, affected, flown),
        outside_caution=day.policy.outside_caution,
        words=wording.answer(day, fleet, left_out, held, bins, hours, ceiling, affected, pads),
        notes=wording.notes(day, fleet, flights, limit.words, altitudes),
        engine=engine(),
        samples=samples,
        seed=SEED,
    )


def _of_everyone(everyone: Fleet, flown: Fleet, figures: Sequence[float | None]) -> list[float | None]:
    """A figure for each rocket of the whole fleet: None for those that were left out."""
    known = {id(rocket): figure for rocket, figure in zip(flown.rockets, figures, strict=True)}
    return [known.get(id(rocket)) for rocket in everyone.rockets]


def _apogee_m(flights: Flights, rocket: int) -> float | None:
    """Highest nominal apogee over the winds flown; None where one could not be."""
    found = [each.apogee_m for (number, _, _), each in flights.flown.items() if number == rocket]
    tops = [each for each in found if each is not None]
    return max(tops) if len(tops) == len(found) else None


def _season_landings(flights: Flights, fleet: Fleet, cells: Cells, count: int) -> Landings:
    """Landings over the flyable hours of every rocket that could be flown in every wind, by mode."""
    found: dict[tuple[int, Mode], np.ndarray] = {}
    for number in range(len(fleet.rockets)):
        if flights.why(number):
            continue
        for mode in KERNEL_MODES:
            if mode in flights.of(number, 0, 0).landings:
                found[number, mode] = season_points(flights, number, mode, cells, count)
    return found


def _outside_by_hour(
    winds: Winds, fleet: Fleet, flights: Flights, ground: Ground, best_at: tuple[float, float] | None
) -> tuple[dict[str, np.ndarray | None], dict[str, np.ndarray | None]]:
    """Class -> share outside in every hour, from the pads as they stand and from those found."""
    place = cell_numbers(winds, flights.profiles)
    now: dict[str, np.ndarray | None] = {}
    best: dict[str, np.ndarray | None] = {}
    for letter in fleet.letters:
        table = class_outside_table(fleet, flights, letter, ground.boundary)
        now[letter] = None if table is None else table[place]
        if best_at is not None:
            table = class_outside_table(fleet, flights, letter, ground.boundary, best_at)
            best[letter] = None if table is None else table[place]
    return now, best


def _shares(
    day: LaunchDay, ground: Ground, fleet: Fleet, flights: Flights, cells: Cells, best_at: tuple[float, float] | None,
    altitudes: bool, stop: Callable[[], bool], told: Callable[[int], None],
) -> list[ShareCell]:  # fmt: skip
    """Every class in every wind flown."""

    def check() -> None:
        if stop():
            raise AdviceStopped("called off; nothing was changed")

    found = []
    for letter in fleet.letters:
        members = [number for number, rocket in enumerate(fleet.rockets) if rocket.letter == letter]
        why = "; ".join(
            f"{fleet.rockets[number].name} {reason}" for number in members if (reason := flights.why(number))
        )
        rocket = fleet.rockets[describe.farthest(fleet, flights, letter)]
        for speed, speed_mps in enumerate(flights.profiles.speeds_mps):
            check()
            winds = wind_cells(cells, float(speed_mps), 0.5 * SPEED_STEP_MPS)
            altitude = describe.NOT_SEARCHED
            if altitudes:
                search = AltitudeSearch(
                    day, rocket, tuple(row[speed] for row in flights.profiles.flown), winds, ground.boundary,
                    day.policy.outside_caution, min(ALTITUDE_SAMPLES, flights.samples), check,
                )  # fmt: skip
                altitude = search.greatest()
            best = class_chance(fleet, flights, letter, speed, winds, ground.boundary, best_at) if best_at else None
            found.append(
                ShareCell(
                    letter=letter, wind_mps=float(speed_mps),
                    inside=class_chance(fleet, flights, letter, speed, winds, ground.boundary), inside_best=best,
                    radius_m=class_radius_m(fleet, flights, letter, speed), altitude=altitude, unknown=why,
                )
            )  # fmt: skip
            told(len(found))
    return found
