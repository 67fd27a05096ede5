"""Aim a launcher: the lean that puts the mean landing point nearest to a place, kept off people, and verified."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from geo.inside import lie_inside
from service.flight.errors import FlightError
from service.models.aiming import Aiming, AimSetting, MilderAim
from service.models.assessment import Assessment, Chance
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad
from service.planning.advise.changes import pad_changes
from service.planning.advise.trials import RANK, Progress, Stop, Trials, standings, stopper, worsened
from service.planning.aim import wording
from service.planning.aim.errors import NothingToAim
from service.planning.aim.landings import Landed, Landings
from service.planning.aim.limit import tilt_limit
from service.planning.aim.milder import milder_setting
from service.planning.aim.settings import coarse_grid, nearest_setting
from service.planning.aim.solver import confirmed, solve
from service.planning.assess import SAMPLE_CAP
from service.planning.flight_inputs import flight_inputs
from service.planning.ground import Ground, ground_of
from service.planning.wind_arc import arc_words
from service.planning.words import finding_sentence

SEARCH_SAMPLES = 128
LIKELY_STEPS = 240  # settings flown and assessments made in a usual search: for the progress only
LEAST_GAIN_M = 1.0  # nearer by less is no reason to touch the guide


def aim_entry(
    day: LaunchDay,
    entry: Entry,
    *,
    target: tuple[float, float] | None = None,
    conditions: Conditions | None = None,
    ground: Ground | None = None,
    at: datetime | None = None,
    samples: int = SEARCH_SAMPLES,
    most_samples: int = SAMPLE_CAP,
    threads: int | None = None,
    progress: Progress | None = None,
    should_stop: Stop = None,
) -> Aiming:
    """The tilt and azimuth that put the planned landings nearest to a place.

    The landing point is the mean of the dispersed flights of the planned mode, the same draws for every setting.
    Before the distance come: nobody under a flight whose recovery stays shut, where any setting allows that; no lean
    within 30 degrees of people or parked cars; nobody under a planned landing.

    Parameters
    ----------
    day, entry
        The checked document and an entry of it.
    target : tuple, optional
        [longitude, latitude] on the field; the entry's pad by default. [degrees]
    conditions, ground, at
        As `assess_entry`.
    samples : int
        Flights a setting in the search, a power of two.
    most_samples : int
        As `assess_entry`, for the assessments that verify.
    progress : callable, optional
        Called with (done, in all, what) after each setting and each assessment; what is left is a guess until the
        search ends. What it raises ends the work.
    should_stop : callable or Event, optional
        Asked between settings.

    Raises
    ------
    NothingToAim
        If the flight cannot be computed, or the target is not on the field or lies among people.
    AdviceStopped
        When called off.
    """
    conditions, ground = conditions or day.conditions, ground or ground_of(day)
    pad = day.pad_by_name(entry.pad)
    steps = Steps(progress or (lambda done, total, what: None))
    place = _target(ground, target) if target else ground.pad_at(pad)
    trials = Trials(
        day, ground, conditions, at, most_samples=most_samples, threads=threads, should_stop=stopper(should_stop),
        on_trial=lambda flown: steps.step("assessments"),
    )  # fmt: skip
    try:
        inputs = flight_inputs(day, entry, conditions)
    except FlightError as error:
        raise NothingToAim(f"{entry.id}: {error}") from None
    landings = Landings(
        inputs, pad, ground, place, min(samples, day.policy.samples), threads, trials.should_stop,
        lambda flown: steps.step("settings"),
    )  # fmt: skip
    now = trials.full(entry)
    if now.estimate is None:
        raise NothingToAim(f"{entry.id}: {now.decides}")
    limit = tilt_limit(day, entry, pad, conditions, ground, now)
    stands = nearest_setting(pad.tilt_deg, pad.azimuth_deg, limit.half_deg)
    best_first = solve(landings, limit.half_deg, (stands,))
    every = landings.with_samples(day.policy.samples)
    found = confirmed(best_first, landings, every, limit.half_deg)
    before = every.fly(pad.tilt_deg, pad.azimuth_deg)
    if found is None or before is None:
        raise NothingToAim(f"{entry.id}: some of its dispersed flights could not be computed, so their mean is unknown")
    setting, after = found
    outside_limit = pad.tilt_deg > 0.5 * limit.half_deg + 1e-9
    kept = not outside_limit and not _better(after, before)
    if kept:
        after, pad_after = before, pad
    else:
        pad_after = pad.model_copy(update={"tilt_deg": setting.tilt_deg, "azimuth_deg": float(setting.azimuth_deg)})
    then = now if kept else trials.full(entry, pad_after)
    was, will = standings(now), standings(then)
    worse = worsened(was, will)
    less = None
    if worse and not outside_limit:
        less = milder_setting(trials, entry, pad, now, setting, every, before, limit.half_deg)
    reckoned = {**landings.known, **every.known}
    worst_setting = max(reckoned.items(), key=lambda each: (each[1].harm, each[0]))[0]
    worst = every.at(worst_setting) or reckoned[worst_setting]
    steps.end()
    spoken_for = ground.union("people") is not None

    def said(landed: Landed) -> AimSetting:
        return _setting(ground, pad_at, landed, spoken_for)

    pad_at = ground.pad_at(pad)
    notes = (*wording.notes(entry, pad, spoken_for, after, outside_limit), *arc_words(conditions))
    return Aiming(
        entry=entry.id,
        rocket=entry.rocket.name,
        pad=pad.name,
        conditions_at=conditions.observed_at.isoformat(),
        target=ground.lonlat(*place),
        target_name="the place given" if target else f"pad {pad.name}",
        limit_deg=0.5 * limit.half_deg,
        limit_rule=limit.rule,
        limit_words=limit.words,
        before=said(before),
        after=said(after),
        worst=said(worst),
        worst_why=wording.worst_why(worst, spoken_for),
        tried=tuple(said(reckoned[each]) for each in coarse_grid(limit.half_deg) if each in reckoned),
        step="0.5° of tilt, 1° of azimuth",
        inside_before=_inside(now),
        inside_after=_inside(then),
        standing_before=now.standing,
        standing_after=then.standing,
        clears=tuple(rule for rule in was if RANK[will.get(rule, "clear")] < RANK[was[rule]]),
        betters=tuple(
            finding_sentence(each) for each in now.findings if RANK[will.get(each.rule, "clear")] < RANK[each.standing]
        ),
        worsens=tuple(f"{each.rule}: {finding_sentence(each)}" for each in then.findings if each.rule in worse),
        milder=_milder(day, pad, said(less[0]), less[1], less[2]) if less else None,
        words=wording.words(pad, pad_after, kept),
        gains=wording.gains(before, after, _inside(now), _inside(then)),
        costs=() if kept else wording.costs(before, after, now.estimate, then.estimate),
        changes=() if kept else pad_changes(day, pad_after),
        pad_after=pad_after,
        pad_shared_with=tuple(each.id for each in day.entries if each.pad == pad.name and each.id != entry.id),
        assessment=then.id,
        samples=then.samples,
        notes=notes,
        people_unknown="" if spoken_for else wording.PEOPLE_UNKNOWN,
    )


@dataclass
class Steps:
    """Counts what was done; the last step is kept for the end."""

    told: Progress
    done: int = 0

    def step(self, what: str) -> None:
        self.done = min(self.done + 1, LIKELY_STEPS - 1)
        self.told(self.done, LIKELY_STEPS, what)

    def end(self) -> None:
        self.told(LIKELY_STEPS, LIKELY_STEPS, "done")


def _target(ground: Ground, target: tuple[float, float]) -> tuple[float, float]:
    """The target in the ground's frame, refused where nothing should come down."""
    lon_deg, lat_deg = target
    if not (-180.0 <= lon_deg <= 180.0 and -90.0 <= lat_deg <= 90.0):  # NaN lands here too
        raise NothingToAim(
            f"target: found [{lon_deg:g}, {lat_deg:g}]; [longitude, latitude] in degrees on the field is needed"
        )
    east, north = (float(value) for value in ground.frame.to_local(lon_deg, lat_deg))
    if not lie_inside(ground.boundary, east, north):
        raise NothingToAim(f"target: [{lon_deg:g}, {lat_deg:g}] lies outside the boundary; a place inside it is needed")
    among = [
        zone.name for zone in ground.of_kind("people", "parking", "building", "keep_out")
        if lie_inside(zone.area, east, north)
    ]  # fmt: skip
    if among:
        raise NothingToAim(
            f"target: [{lon_deg:g}, {lat_deg:g}] lies in {among[0]}; open ground inside the boundary is needed"
        )
    return east, north


def _better(after: Landed, before: Landed) -> bool:
    """Whether a setting is worth the walk to the pad."""
    if after.key[:3] != before.key[:3]:
        return after.key[:3] < before.key[:3]
    return after.distance_m < before.distance_m - LEAST_GAIN_M


def _inside(assessment: Assessment) -> Chance | None:
    planned = assessment.footprint("planned")
    return planned.inside if planned else None


def _milder(day: LaunchDay, pad: Pad, setting: AimSetting, leant: Pad, then: Assessment) -> MilderAim:
    return MilderAim(
        setting=setting,
        words=wording.milder_words(leant, setting.distance_m),
        inside=_inside(then),
        standing=then.standing,
        changes=pad_changes(day, leant),
        pad_after=leant,
        assessment=then.id,
    )


def _setting(ground: Ground, pad_at: tuple[float, float], landed: Landed, spoken_for: bool) -> AimSetting:
    return AimSetting(
        tilt_deg=landed.tilt_deg,
        azimuth_deg=landed.azimuth_deg,
        landing=ground.lonlat(landed.east_m, landed.north_m),
        east_m=landed.east_m - pad_at[0],
        north_m=landed.north_m - pad_at[1],
        distance_m=landed.distance_m,
        outside_share=landed.outside,
        ballistic_outside_share=landed.ballistic_outside,
        people_share=landed.people if spoken_for else None,
        ballistic_people_share=landed.ballistic_people if spoken_for else None,
        toward_people=landed.toward_people or (None if not spoken_for and landed.tilt_deg > 0.0 else False),
        samples=landed.samples,
    )
