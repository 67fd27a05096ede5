"""One motor flown in a rocket, with the delay that serves it best."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.flight.errors import FlightError
from service.models.advice import Excluded
from service.models.assessment import Assessment
from service.models.entry import Entry
from service.models.finding import Standing
from service.models.motor import Motor
from service.planning.advise.delays import BestDelay, best_delay, delays_to_try, with_motor
from service.planning.advise.screening import motor_name
from service.planning.advise.trials import RANK, Trials, could_pass, seen_standing


@dataclass(frozen=True)
class Candidate:
    """A motor that fits, with the delay chosen for it."""

    entry: Entry
    motor: Motor
    best: BestDelay
    result: Assessment
    call_first: str = ""
    """What has to be done before it can fly under a higher ceiling, in a sentence; empty where nothing has to."""
    called: Standing | None = None
    """How it stands then."""


def fly_motor(trials: Trials, entry: Entry, motor: Motor, ceiling_m: float | None) -> Candidate | Excluded:
    """Fly one motor with the delays that can be had and keep the best: that which stands best, nearest first."""

    def out(screened_for: str, why: str, apogee_m: float | None = None) -> Excluded:
        return Excluded(
            motor=motor.id, name=motor_name(motor), impulse_ns=entry.motor_count * motor.impulse_ns,
            screened_for=screened_for, why=why, apogee_m=apogee_m,  # type: ignore[arg-type]
        )  # fmt: skip

    try:
        best = best_delay(trials, entry, motor)
    except FlightError as error:
        return out("flight", f"Cannot be flown: {error}.")
    if ceiling_m is not None and best.apogee_m > ceiling_m:
        return out(
            "ceiling", f"Rises to about {best.apogee_m:,.0f} m, over the ceiling of {ceiling_m:,.0f} m.", best.apogee_m
        )
    tried = [
        Candidate(with_motor(entry, motor, delay), motor, best, trials.quick(with_motor(entry, motor, delay)))
        for delay in delays_to_try(entry, motor, best.delay_s)
    ]
    flown = [each for each in tried if each.result.estimate is not None]
    if not flown:  # the nominal flight went, but not another that belongs to it, such as a cluster's with one unlit
        return out("flight", tried[0].result.decides)
    sure = [with_all_samples(trials, each) for each in flown if could_pass(each.result)]
    passing = [each for each in sure if each.result.standing == "clear"]
    if passing:
        return passing[0]
    return min(sure or flown, key=standing_key)  # of equals the first: the nearest to the best delay


def with_all_samples(trials: Trials, each: Candidate) -> Candidate:
    """The same with the policy's count of flights."""
    return replace(each, result=trials.full(each.entry))


def standing_key(candidate: Candidate) -> tuple[int, int]:
    seen = [seen_standing(finding) for finding in candidate.result.findings]
    return max((RANK[each] for each in seen), default=0), sum(1 for each in seen if each != "clear")
