"""Which motors on offer are worth flying in a rocket, and one sentence for each that is not."""

from __future__ import annotations

from collections.abc import Iterator

from service.codes.rulebook import evaluate_all
from service.models.advice import Excluded, ScreenedFor
from service.models.base import Problem
from service.models.day import LaunchDay
from service.models.entry import Entry, Flyer
from service.models.finding import Finding
from service.models.fit import SLACK_M, motor_problems, waits_for_motor
from service.models.motor import Motor
from service.planning import facts as known
from service.planning.advise.delays import with_motor

FLYER_QUANTITIES = ("flyer_certification", "flyer_adult", "flyer_supervised")
LEVELS = (0, 1, 2, 3)


def is_beginner(flyer: Flyer) -> bool:
    """Whether single-use motors come first: a first flight, or no certification and under 18."""
    return flyer.first_flight or (flyer.certification == 0 and not flyer.adult)


def motor_name(motor: Motor) -> str:
    """As said to a person."""
    return f"{motor.maker} {motor.designation}"


def adapter_m(entry: Entry, motor: Motor) -> float | None:
    """Diameter that an adapter has to bring up to the mount's; None where the motor fills it. [m]"""
    return motor.diameter_m if motor.diameter_m < entry.rocket.mount.diameter_m - 2.0 * SLACK_M else None


def adapter_notes(entry: Entry, motor: Motor) -> Iterator[str]:
    """What a motor thinner than the mount asks for."""
    thinner = adapter_m(entry, motor)
    if thinner is not None:
        mount_mm = 1000.0 * entry.rocket.mount.diameter_m
        yield f"Needs an adapter from {1000.0 * thinner:.0f} mm to {mount_mm:.0f} mm, whose mass is not reckoned."


def ahead_of_mount_m(entry: Entry, motor: Motor) -> float:
    """How far a motor, its nozzle flush with the tail, reaches forward out of an open-ended mount. [m]"""
    return max(motor.length_m - entry.rocket.mount.length_m, 0.0) if entry.rocket.mount.open_ended else 0.0


def screened_out(
    day: LaunchDay, entry: Entry, motor: Motor, *, adapters: bool = True, reloads: bool | None = None
) -> Excluded | None:
    """Why a motor is not flown at all, with all reasons there are; None where it is.

    Parameters
    ----------
    day, entry
        The rocket, its flyer and its motor count; the entry's own motor and delay do not matter.
    motor : Motor
    adapters : bool
        Whether a motor thinner than the mount may be used.
    reloads : bool, optional
        Whether reloads may be used; left out, by experience: not by a beginner.
    """
    reasons = list(_reasons(day, entry, motor, adapters, reloads))
    if not reasons:
        return None
    return Excluded(
        motor=motor.id, name=motor_name(motor), impulse_ns=entry.motor_count * motor.impulse_ns,
        screened_for=reasons[0][0], why=" ".join(dict.fromkeys(why for _, why in reasons)),
    )  # fmt: skip


def _reasons(
    day: LaunchDay, entry: Entry, motor: Motor, adapters: bool, reloads: bool | None
) -> Iterator[tuple[ScreenedFor, str]]:
    for problem in motor_problems(entry.rocket, motor, entry.motor_count):
        yield "mount", _mount_sentence(entry, motor, problem)
    if not adapters and adapter_m(entry, motor) is not None:
        mount_mm, motor_mm = 1000.0 * entry.rocket.mount.diameter_m, 1000.0 * motor.diameter_m
        yield (
            "mount",
            f"Needs an adapter from {motor_mm:.0f} mm to the mount's {mount_mm:.0f} mm; adapters were left out.",
        )
    if not motor.delays.offered_s() and waits_for_motor(entry):
        device = next(each.name for each in entry.recovery if each.deploy and each.deploy.at == "motor_delay")
        yield "delay", f"Plugged: it has no charge, and nothing else would open the {device}."
    for finding in flyer_findings(day, with_motor(entry, motor, None), entry.flyer):
        if finding.standing == "stop":
            yield "flyer", _flyer_sentence(finding)
    if motor.case == "reload" and not (reloads if reloads is not None else not is_beginner(entry.flyer)):
        yield (
            "experience",
            (
                "A reload has to be put together by the flyer; a beginner starts with single use (common practice)."
                if reloads is None
                else "A reload; reloads were left out."
            ),
        )
    if motor.stock is not None and motor.stock < entry.motor_count:
        left = "None is" if motor.stock == 0 else f"Only {motor.stock} {'is' if motor.stock == 1 else 'are'}"
        yield "stock", f"{left} left, and the rocket takes {entry.motor_count}."


def _mount_sentence(entry: Entry, motor: Motor, problem: Problem) -> str:
    mount = entry.rocket.mount
    if problem.at == ("motor_count",):
        return f"Does not fit: {problem.found}; {problem.expected} go in."
    if motor.diameter_m > mount.diameter_m + SLACK_M:
        return f"{1000 * motor.diameter_m:.0f} mm in diameter; the mount takes {1000 * mount.diameter_m:.0f} mm."
    if mount.open_ended:
        return f"{1000 * motor.length_m:.0f} mm long, longer than the rocket."
    return (
        f"{1000 * motor.length_m:.0f} mm long; the mount takes {1000 * mount.length_m:.0f} mm up to its hook or block."
    )


def flyer_findings(day: LaunchDay, entry: Entry, flyer: Flyer) -> list[Finding]:
    """What the codes say of a flyer and a motor, before anything is flown."""
    facts = known.rocket_facts(day, entry.model_copy(update={"flyer": flyer}))
    attested = {**day.attestations, **entry.attestations}
    found = evaluate_all(day.codes, day.local_rules, facts, attested)
    return [finding for finding in found if finding.quantity in FLYER_QUANTITIES]


def _flyer_sentence(finding: Finding) -> str:
    if finding.quantity == "flyer_certification" and finding.limit is not None:
        has = f"the flyer has {finding.measured:g}"
        return f"Needs certification level {finding.limit:g}; {has} ({finding.source.clause})."
    if finding.quantity == "flyer_adult":
        return f"Needs a flyer of 18 or older ({finding.source.clause})."
    return f"{finding.statement} This flyer does not meet it ({finding.source.clause})."


def certification_needed(day: LaunchDay, entry: Entry) -> int | None:
    """The lowest certification that the codes in force accept of an adult for this motor; None where none will do."""
    return next((level for level in LEVELS if not _stopped(day, entry, adult=True, level=level)), None)


def adult_needed(day: LaunchDay, entry: Entry) -> bool:
    """Whether the codes in force turn away a flyer under 18, supervised and fully certified."""
    return _stopped(day, entry, adult=False, level=LEVELS[-1])


def _stopped(day: LaunchDay, entry: Entry, *, adult: bool, level: int) -> bool:
    anyone = Flyer(
        name=entry.flyer.name, adult=adult, supervised=True, responsible_adult=entry.flyer.name, certification=level
    )
    return any(finding.standing == "stop" for finding in flyer_findings(day, entry, anyone))
