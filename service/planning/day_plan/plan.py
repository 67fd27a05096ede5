"""Plan a day: every entry in every hour of the forecast, and an order that flies each in its window."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor, as_completed
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from geo.sun import sun_is_up
from service.models.ceiling import Ceiling
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.day_plan import DayPlan, LeftOut, PlanCell, PlanHour, PlannedFlight, PlanRow, Shift
from service.models.entry import Entry
from service.planning.advise.trials import RANK, Progress, Stop, stopper
from service.planning.assess import SAMPLE_CAP, SEED
from service.planning.call_first import MARK, MAY_FLY, call_words
from service.planning.day_plan import wording
from service.planning.day_plan.errors import NothingToPlan
from service.planning.day_plan.hours import Hour, hours_of, stronger
from service.planning.day_plan.looks import Look, Watch
from service.planning.day_plan.order import Pace, Place, Stretch, Wish, order
from service.planning.day_plan.pace import FLIGHT_MIN, GAP_MIN, REST_MIN, STRONGER_MPS
from service.planning.facts import ceiling_in_force
from service.planning.ground import Ground, ground_of

LOOK_SAMPLES = 64

Grid = Mapping[tuple[str, int], Look]


def plan_day(
    day: LaunchDay,
    *,
    entries: Iterable[str] | None = None,
    ground: Ground | None = None,
    minutes_per_flight: float = FLIGHT_MIN.usual,
    launch_gap_min: float = GAP_MIN.usual,
    rest_min: float = REST_MIN.usual,
    stronger_by_mps: float = STRONGER_MPS.usual,
    samples: int = LOOK_SAMPLES,
    most_samples: int = SAMPLE_CAP,
    threads: int | None = None,
    progress: Progress | None = None,
    should_stop: Stop = None,
) -> DayPlan:
    """Hold every entry against every hour of the forecast, and propose an order.

    Parameters
    ----------
    day : LaunchDay
        With a forecast.
    entries : iterable of str, optional
        Ids to plan; all by default.
    minutes_per_flight, launch_gap_min, rest_min : float
        Least time between two flights from one pad, two launches, two flights of one flyer. [min]
    stronger_by_mps : float
        Added to every wind and gust for the second look. [m/s]
    samples : int
        Flights a look, a power of two; the hour chosen for an entry has the policy's count.
    most_samples : int
        As `assess_entry`, for the hour chosen.
    threads : int, optional
        Default: as many as there are processors. The answer does not depend on it.
    progress : callable, optional
        Called with (looks done, looks in all, entry id). What it raises ends the work.
    should_stop : callable or Event, optional
        Asked between looks.

    Raises
    ------
    NothingToPlan
        Without a forecast or without an entry, or with a time that is not above zero.
    AdviceStopped
        When called off.
    KeyError
        If an entry id is not known.
    """
    chosen = [day.entry_by_id(each) for each in dict.fromkeys(entries)] if entries is not None else list(day.entries)
    hours = hours_of(day)
    if not hours:
        raise NothingToPlan("the document has no forecast; conditions hour by hour are needed to plan a day")
    if not chosen:
        raise NothingToPlan("there is no entry to plan")
    for name, value in (
        ("minutes per flight", minutes_per_flight), ("minutes between launches", launch_gap_min),
        ("rest in minutes", rest_min), ("the stronger wind in m/s", stronger_by_mps),
    ):  # fmt: skip
        if not 0.0 < value <= 600.0:  # NaN lands here too
            raise NothingToPlan(f"{name}: found {value:g}; above 0 and up to 600 is needed")
    ground = ground or ground_of(day)
    stop = stopper(should_stop)
    watch = Watch(day, ground, min(samples, day.policy.samples), most_samples, threads, stop)
    looks = 2 * len(chosen) * len(hours)
    total = looks + len(chosen)
    told = progress or (lambda done, total, what: None)
    grid, more = _looks(watch, chosen, hours, stronger_by_mps, lambda done, what: told(done, total, what))
    pace = Pace(*(timedelta(minutes=value) for value in (launch_gap_min, minutes_per_flight, rest_min)))
    whole: dict[tuple[str, int], Look] = {}
    while True:
        seen = {**grid, **whole}
        wishes = [_wish(day, entry, hours, seen, more) for entry in chosen]
        placed, left = order([each for each in wishes if each.hours], [Stretch(h.start, h.end) for h in hours], pace)
        fresh = [each for each in placed if (each.entry, each.hour) not in whole]
        if not fresh:
            break
        for place in fresh:
            whole[place.entry, place.hour] = watch.whole(day.entry_by_id(place.entry), hours[place.hour].conditions)
            told(min(looks + len({entry for entry, _ in whole}), total - 1), total, place.entry)
    told(total, total, "done")
    zone = ZoneInfo(day.timezone)
    rows = tuple(_row(entry, hours, seen, more) for entry in chosen)
    flights = tuple(
        _flight(day, number, place, hours, seen, more, zone) for number, place in enumerate(placed, start=1)
    )
    labels = [wording.clock(hour.start, zone) for hour in hours]
    shifts = tuple(
        Shift(
            entry=entry.id, hour=number, before=grid[entry.id, number].standing, after=more[entry.id, number].standing,
            limits=more[entry.id, number].limits,
        )
        for entry in chosen for number in range(len(hours))
        if grid[entry.id, number].standing != more[entry.id, number].standing
    )  # fmt: skip
    out = tuple(
        _left_out(day, entry, hours, labels, seen, entry.id in left)
        for entry in chosen if entry.id not in {each.entry for each in placed}
    )  # fmt: skip
    return DayPlan(
        day=day.name,
        date=day.date.isoformat(),
        timezone=day.timezone,
        hours=tuple(_hour(day, hour, label, zone) for hour, label in zip(hours, labels, strict=True)),
        rows=rows,
        order=flights,
        left_out=out,
        shifts=shifts,
        stronger_by_mps=stronger_by_mps,
        minutes_per_flight=minutes_per_flight,
        launch_gap_min=launch_gap_min,
        rest_min=rest_min,
        words=wording.words(flights, len(chosen)),
        stronger_words=wording.stronger_words(flights, shifts, stronger_by_mps),
        notes=wording.NOTES,
        samples=watch.few,
        seed=SEED,
    )


def _looks(watch: Watch, entries: list[Entry], hours: list[Hour], by_mps: float, told) -> tuple[Grid, Grid]:
    """Every entry in every hour, as forecast and in the stronger wind."""
    jobs: dict = {}
    found: tuple[dict, dict] = ({}, {})
    pool = ThreadPoolExecutor(watch.threads or os.cpu_count() or 1)
    try:
        for number, hour in enumerate(hours):
            both: tuple[Conditions, Conditions] = (hour.conditions, stronger(hour.conditions, by_mps))
            for entry in entries:
                for kept, conditions in zip(found, both, strict=True):
                    jobs[pool.submit(watch.look, entry, conditions)] = (kept, (entry.id, number))
        for done, job in enumerate(as_completed(jobs), start=1):
            kept, key = jobs[job]
            kept[key] = job.result()
            told(done, key[0])
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return found


def _wish(day: LaunchDay, entry: Entry, hours: list[Hour], seen: Grid, more: Grid) -> Wish:
    """Clear hours before those at caution, then those that need no call first, then the fewest findings, those that
    stand the stronger wind before the rest, then the earliest.
    """
    looks = {number: seen[entry.id, number] for number in range(len(hours))}
    may = {number: look for number, look in looks.items() if look.may_fly}
    elevation_m = day.field.elevation_m
    then = {number: look.in_more_wind(more[entry.id, number], elevation_m) for number, look in may.items()}
    ranks = {
        number: (
            RANK[look.best], int(look.call is not None), len(look.open_rules), int(RANK[then[number]] > RANK[look.best])
        )
        for number, look in may.items()
    }  # fmt: skip
    tops = [look.apogee_high_m for look in may.values() if look.apogee_high_m is not None]
    longest_s = max((look.flight_s or 0.0 for look in may.values()), default=0.0)
    flight_time = timedelta(seconds=longest_s)
    lon_deg, lat_deg = day.pad_by_name(entry.pad).position

    def fits(start: datetime) -> bool:
        return entry.flyer.is_here(start, start + flight_time) and all(
            sun_is_up(lon_deg, lat_deg, moment)
            and (ceiling := _ceiling_at(day, start, moment, hours, may)) is not None
            and max(tops, default=0.0) <= ceiling.height_agl_m(elevation_m)
            for moment in (start, start + flight_time)
        )

    steady = sum(1 for stands in then.values() if stands in MAY_FLY)
    return Wish(entry.id, entry.pad, entry.flyer.name, max(tops, default=0.0), flight_time, ranks, steady, fits)


def _ceiling_at(
    day: LaunchDay, start: datetime, moment: datetime, hours: list[Hour], looks: Mapping[int, Look]
) -> Ceiling | None:
    """The ceiling that a flight of that start has over it at a moment; in an hour that takes a call that called for."""
    hour = next((number for number, each in enumerate(hours) if each.start <= start < each.end), -1)
    call = looks[hour].call if hour in looks else None
    if call is None:
        return ceiling_in_force(day, moment)
    return call if call.holds_at(moment) else None


def _hour(day: LaunchDay, hour: Hour, label: str, zone: ZoneInfo) -> PlanHour:
    lowest = hour.conditions.wind[0]
    lon_deg, lat_deg = day.field.pads[0].position
    return PlanHour(
        starts=hour.start.astimezone(zone).isoformat(),
        ends=hour.end.astimezone(zone).isoformat(),
        label=label,
        wind_mps=lowest.speed_mps,
        wind_from_deg=lowest.from_deg,
        daylight=sun_is_up(lon_deg, lat_deg, hour.start) and sun_is_up(lon_deg, lat_deg, hour.end),
    )


def _row(entry: Entry, hours: list[Hour], seen: Grid, more: Grid) -> PlanRow:
    looks = [seen[entry.id, number] for number in range(len(hours))]
    cells = tuple(
        PlanCell(
            standing=look.standing, limits=look.limits, rules=look.rules, stronger=more[entry.id, number].standing,
            stronger_limits=more[entry.id, number].limits, samples=look.samples, called=look.called,
        )
        for number, look in enumerate(looks)
    )  # fmt: skip
    always = tuple(rule for rule in looks[0].rules if all(rule in look.rules for look in looks))
    return PlanRow(
        entry=entry.id, rocket=entry.rocket.name, flyer=entry.flyer.name, pad=entry.pad, cells=cells, always=always
    )


def _flight(
    day: LaunchDay, number: int, place: Place, hours: list[Hour], seen: Grid, more: Grid, zone: ZoneInfo
) -> PlannedFlight:
    entry, look = day.entry_by_id(place.entry), seen[place.entry, place.hour]
    may = [seen[entry.id, n].best for n in range(len(hours)) if seen[entry.id, n].may_fly]
    then = look.in_more_wind(more[entry.id, place.hour], day.field.elevation_m)
    hour = hours[place.hour]
    return PlannedFlight(
        place=number,
        starts=place.start.astimezone(zone).isoformat(),
        label=wording.clock(place.start, zone),
        hour=place.hour,
        entry=entry.id,
        rocket=entry.rocket.name,
        flyer=entry.flyer.name,
        pad=entry.pad,
        apogee_m=look.apogee_m,
        standing=look.standing,
        limits=look.limits,
        also=look.also,
        why=wording.why_then(may, len(hours), then),
        stronger=then,
        holds_in_stronger=then in MAY_FLY,
        assessment=look.assessment,
        samples=look.samples,
        call_first=call_words(day, look.call, hour.start, hour.end) if look.call else "",
        called=look.called,
    )


def _in_the_way(entry: Entry) -> str:
    hours = ", the flyer's own hours" if entry.flyer.here_from or entry.flyer.here_until else ""
    return f"pad {entry.pad}, rest{hours}, light or ceiling"


def _left_out(day: LaunchDay, entry: Entry, hours: list[Hour], labels: list[str], seen: Grid, no_room: bool) -> LeftOut:
    looks = [seen[entry.id, number] for number in range(len(hours))]
    if no_room:
        could = [(hours[number], label, looks[number]) for number, label in enumerate(labels) if looks[number].may_fly]
        told = ", ".join(f"{label} {MARK}" if look.call else label for _, label, look in could)
        calls = (call_words(day, look.call, hour.start, hour.end) for hour, _, look in could if look.call)
        why = f"No room in the hours it could fly ({told}): {_in_the_way(entry)} is in the way."
        why = " ".join([why, *(f"{MARK}: {each}" for each in dict.fromkeys(calls))])
    else:
        best = min(looks, key=lambda look: RANK[look.standing])
        same = all(look.standing == best.standing for look in looks)
        stands = f"Stands at {best.standing} in every hour." if same else f"Never stands better than {best.standing}."
        why = f"{stands} {best.limits}"
    return LeftOut(entry=entry.id, rocket=entry.rocket.name, why=why)
