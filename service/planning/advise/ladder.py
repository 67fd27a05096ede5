"""The motor ladder: every motor on offer that fits, flown in this rocket on this day, in order of apogee."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import datetime

from service.models.advice import Excluded, Ladder, Rung
from service.models.assessment import Spread
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry, Flyer
from service.models.finding import Finding
from service.models.motor import Motor
from service.models.recovery import Recovery
from service.models.rocket import Rocket
from service.planning import facts as known
from service.planning.advise.called import with_call
from service.planning.advise.candidates import Candidate, fly_motor, with_all_samples
from service.planning.advise.changes import entry_changes
from service.planning.advise.costs import cost_per_flight
from service.planning.advise.errors import NothingToAdvise
from service.planning.advise.screening import (
    adapter_m,
    adapter_notes,
    adult_needed,
    ahead_of_mount_m,
    certification_needed,
    is_beginner,
    motor_name,
    screened_out,
)
from service.planning.advise.shortfall import shortfall, stays
from service.planning.advise.trials import (
    RANK,
    SCREENING_SAMPLES,
    Progress,
    Stop,
    Trials,
    as_seen,
    could_caution,
    seen_standing,
    stopper,
)
from service.planning.assess import SAMPLE_CAP, SEED
from service.planning.call_first import waiting
from service.planning.flight_inputs import masses_of
from service.planning.ground import Ground, ground_of
from service.planning.words import decides

FLOOR_MPS = 13.4112  # 30 mph, common practice
WIND_TIMES = 4.0  # the guide's end, in winds: keeps the incidence under about 14 degrees (common practice)
GRAVITY_MPS2 = 9.80665  # exact, 3rd CGPM 1901; for the cross-check only


def motor_ladder(
    day: LaunchDay,
    rocket: Entry | Rocket,
    flyer: Flyer | None = None,
    pad: str | None = None,
    conditions: Conditions | None = None,
    *,
    recovery: tuple[Recovery, ...] | None = None,
    motor_count: int | None = None,
    adapters: bool = True,
    reloads: bool | None = None,
    ground: Ground | None = None,
    at: datetime | None = None,
    samples: int = SCREENING_SAMPLES,
    most_samples: int = SAMPLE_CAP,
    threads: int | None = None,
    progress: Progress | None = None,
    should_stop: Stop = None,
) -> Ladder:
    """Fly every motor on offer that fits, and put them in order of apogee.

    Parameters
    ----------
    day : LaunchDay
        Field, codes, policy and the motors on offer.
    rocket : Entry or Rocket
        An entry, whose own motor is but one of the candidates; or a rocket, with `flyer`, `pad` and `recovery`.
    flyer, pad, conditions, recovery, motor_count : optional
        In place of the entry's and the day's.
    adapters : bool
        Whether a motor thinner than the mount may be used.
    reloads : bool, optional
        Whether reloads may be used; left out, by experience.
    ground, at : optional
        As for `assess_entry`.
    samples : int
        Flights of the first look. A rung that passes, or nearly passes, is flown again with the policy's count; where
        none passes, so are those at caution.
    most_samples : int
        Where to stop drawing more for a verdict too near to call.
    threads : int, optional
    progress : callable, optional
        Called with (motors done, in all, motor), and with every trial flown. What it raises ends the work.
    should_stop : callable or threading.Event, optional
        Asked before each trial.

    Raises
    ------
    AdviceStopped
        If called off.
    NothingToAdvise
        If a bare rocket comes without its flyer, pad or recovery.
    KeyError
        If the pad is not known.
    """
    entry = _trial_entry(day, rocket, flyer, pad, recovery, motor_count)
    conditions = conditions or day.conditions
    trials = Trials(day, ground or ground_of(day), conditions, at, samples, most_samples, threads, stopper(should_stop))
    ceiling_m = open_ceiling_m(day, conditions.observed_at)
    flown: list[Candidate] = []
    excluded: list[Excluded] = []
    calls = waiting(day, max(at or conditions.observed_at, conditions.observed_at), later=True)
    for done, motor in enumerate(day.motors, start=1):
        trials.check()
        if progress:
            trials.on_trial = _reporter(progress, done - 1, len(day.motors), motor_name(motor))
        found = screened_out(day, entry, motor, adapters=adapters, reloads=reloads) or fly_motor(
            trials, entry, motor, ceiling_m
        )
        if calls:
            found = with_call(trials, entry, motor, found, calls)
        if isinstance(found, Excluded):
            excluded.append(found)
        else:
            flown.append(found)
        if progress:
            progress(done, len(day.motors), motor_name(motor))
    if all(each.result.standing != "clear" for each in flown):  # then one at caution is picked: no few flights will do
        flown = [with_all_samples(trials, each) if could_caution(each.result) else each for each in flown]
    rungs = [rung_of(trials, entry, each) for each in flown]
    return Ladder(
        entry=entry.id, rocket=entry.rocket.name, flyer=entry.flyer.name, pad=entry.pad,
        conditions_at=conditions.observed_at.isoformat(), ceiling_m=ceiling_m, beginner=is_beginner(entry.flyer),
        rungs=tuple(sorted(rungs, key=_order)), excluded=tuple(sorted(excluded, key=lambda each: each.impulse_ns)),
        screening_samples=trials.screening_samples, policy_samples=day.policy.samples, seed=SEED,
    )  # fmt: skip


def _reporter(progress: Progress, done: int, total: int, name: str) -> Callable[[int], None]:
    """Says with every trial flown how far it is, since one motor may take many."""
    return lambda flown: progress(done, total, f"{name}, {flown} trials")


def _trial_entry(
    day: LaunchDay, rocket: Entry | Rocket, flyer: Flyer | None, pad: str | None,
    recovery: tuple[Recovery, ...] | None, motor_count: int | None,
) -> Entry:  # fmt: skip
    if isinstance(rocket, Entry):
        given = {"flyer": flyer, "pad": pad, "recovery": recovery, "motor_count": motor_count}
        entry = rocket.model_copy(update={name: value for name, value in given.items() if value is not None})
    elif flyer is None or pad is None or recovery is None:
        raise NothingToAdvise("a rocket by itself needs its flyer, its pad and its recovery beside it")
    else:
        entry = Entry.model_construct(
            id="trial", flyer=flyer, rocket=rocket, motor="", motor_count=motor_count or 1, delay_s=None, pad=pad,
            recovery=recovery, attestations={},
        )  # fmt: skip
    day.pad_by_name(entry.pad)
    return entry


def open_ceiling_m(day: LaunchDay, when: datetime) -> float | None:
    """The ceiling in force at a moment, above the field; None for none. [m]"""
    ceiling = known.ceiling_in_force(day, when)
    return ceiling.height_agl_m(day.field.elevation_m) if ceiling else None


def _order(rung: Rung) -> tuple[float, str]:
    return rung.apogee_m.nominal if rung.apogee_m.nominal is not None else math.inf, rung.motor


def rung_of(trials: Trials, entry: Entry, candidate: Candidate) -> Rung:
    """One rung, from the assessment of the chosen delay."""
    day, motor, result, trial = trials.day, candidate.motor, candidate.result, candidate.entry
    estimate = result.estimate
    assert estimate is not None  # a candidate has been flown
    pad = day.pad_by_name(entry.pad)
    weather = known.weather_facts(day, trials.conditions, pad, trials.conditions.observed_at, None)
    planned = result.footprint("planned")
    shaped = entry.rocket.airframe is not None
    at_least_all = result.samples >= day.policy.samples
    not_clear = [finding for finding in result.findings if seen_standing(finding) != "clear"]
    standing = result.standing
    if not at_least_all:  # few flights leave chances too near to call: what they do show decides
        standing = min((seen_standing(each) for each in not_clear), key=lambda each: -RANK[each], default="unknown")
    return Rung(
        motor=motor.id,
        name=motor_name(motor),
        impulse_class=estimate.impulse_class,
        impulse_ns=estimate.impulse_ns,
        case=motor.case,
        casing=motor.casing,
        effect=motor.effect,
        cost=cost_per_flight(motor, entry.motor_count),
        stock=motor.stock,
        certification_needed=certification_needed(day, trial),
        adult_needed=adult_needed(day, trial),
        adapter_m=adapter_m(entry, motor),
        ahead_of_mount_m=ahead_of_mount_m(entry, motor),
        cg_from_nose_m=float(masses_of(entry.rocket, motor, entry.motor_count).cg_from_nose_m[0]),
        best_delay_s=estimate.best_delay_s,
        best_deploy_speed_mps=candidate.best.deploy_speed_mps,
        delay_s=trial.delay_s,
        apogee_m=estimate.apogee_m,
        greatest_speed_mps=estimate.greatest_speed_mps.nominal,
        exit_speed_mps=estimate.exit_speed_mps,
        exit_floor_mps=max(FLOOR_MPS, WIND_TIMES * float(weather["crosswind_mps"] or 0.0)),
        exit_rule_mps=exit_rule_mps(estimate.thrust_to_weight, estimate.guided_travel_m or pad.guide_length_m),
        thrust_to_weight=estimate.thrust_to_weight,
        static_margin_cal=estimate.static_margin_cal if shaped else Spread(nominal=None),
        deploy_speed_mps=estimate.deploy_speed_mps,
        inside=planned.inside if planned else None,
        standing=standing,
        passes=at_least_all and result.standing == "clear",
        decides=result.decides if at_least_all else _decides(not_clear),
        not_clear=tuple(finding.rule for finding in not_clear),
        shortfall=shortfall(not_clear),
        stays=stays(result.findings),
        samples=result.samples,
        changes=entry_changes(day, entry, trial) if entry.motor else (),
        call_first=candidate.call_first,
        called=candidate.called,
        notes=tuple(_notes(entry, motor, candidate, at_least_all)),
    )


def _decides(not_clear: list[Finding]) -> str:
    """What decides as few flights show it."""
    return decides(sorted((as_seen(each) for each in not_clear), key=lambda each: -RANK[each.standing]))


def exit_rule_mps(thrust_to_weight: float, guide_length_m: float) -> float:
    """Speed off the guide if the average thrust acted evenly, v² = 2 (T/W - 1) g L: a cross-check. [m/s]

    >>> round(exit_rule_mps(5.0, 1.0), 1)
    8.9
    """
    return math.sqrt(max(2.0 * (thrust_to_weight - 1.0) * GRAVITY_MPS2 * guide_length_m, 0.0))


def _notes(entry: Entry, motor: Motor, candidate: Candidate, at_least_all: bool):
    yield from adapter_notes(entry, motor)
    ahead = ahead_of_mount_m(entry, motor)
    if ahead > 0.0:
        yield f"Reaches {1000 * ahead:.0f} mm forward out of the mount; the balance point is reckoned with that."
    if motor.casing:
        yield f"Needs the casing {motor.casing}."
    delay = candidate.entry.delay_s
    if candidate.best.deploy_speed_mps is None and delay is not None and delay < candidate.best.delay_s:
        early = candidate.best.delay_s - delay
        yield f"Its charge fires {early:.1f} s before the top: take it out, or choose another motor."
    if not at_least_all:
        yield f"Screened with {candidate.result.samples} flights only, since it does not pass."
