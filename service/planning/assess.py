"""Assess an entry: fly it, disperse it, compare it with the ground, check it against the codes."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import Executor, ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from datetime import datetime

from reports.sentences import MODE_PHRASES
from service.codes.rulebook import checklist, evaluate_all
from service.flight.dispersion import Dispersion, disperse
from service.flight.errors import FlightError
from service.flight.nominal import Simulation, simulate
from service.models.assessment import Assessment, DayAssessment, Mode, ModeFootprint
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import WORST_FIRST, Finding, Standing, worst_standing
from service.planning import facts as known
from service.planning import words
from service.planning.ceiling_words import not_counted
from service.planning.estimate import estimate_of, guide_thrust_to_weight, track_of
from service.planning.flight_inputs import FlightInputs, flight_inputs
from service.planning.footprints import (
    clouds_of,
    mode_chances,
    mode_footprint,
    nothing_opened,
    unknown_footprint,
)
from service.planning.ground import Ground, ground_of
from service.planning.identity import assessment_id
from service.planning.people_risk import people_risk
from service.planning.wind_arc import arc_words, widest_arc_deg
from service.version import engine

SAMPLE_CAP = 16_384  # past this a verdict still too near its limit stands at unknown
GROWTH = 4
SEED = 1  # one seed for all: two winds are then compared on the same draws
USUAL_CAUTIONS = (
    "The estimate is a model's; the model errs too, and that comes on top of the spread.",
    "Nobody stands nearer than the code's distance; everyone watches, and heads are up.",
    "Local code, the authority having jurisdiction and the range safety officer come before this sheet.",
)

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Flown:
    """One entry's flights: nominal and dispersed, and the same with one motor of a cluster unlit."""

    inputs: FlightInputs
    nominal: Simulation
    dispersed: Dispersion
    unlit: tuple[Simulation, Dispersion] | None


def fly_entry(
    day: LaunchDay, entry: Entry, conditions: Conditions, samples: int, seed: int, threads: int | None,
    earlier: Flown | None = None, ballistic: bool = True,
) -> Flown:  # fmt: skip
    """Fly one entry, nominal and dispersed. With `earlier`, only the samples it lacks are flown.

    Without `ballistic` those come down under what opens only.

    Raises
    ------
    FlightError
        If it cannot be flown; the text says why.
    """
    inputs = flight_inputs(day, entry, conditions)

    def both(each: FlightInputs, before: tuple[Simulation, Dispersion] | None) -> tuple[Simulation, Dispersion]:
        return before[0] if before else simulate(each.setup), disperse(
            each.setup,
            samples=samples,
            seed=seed,
            earlier=before[1] if before else None,
            spreads=each.spreads,
            gust_sigma_mps=_gust(each),
            unknown_shape=each.unknown_shape,
            soft_devices=each.soft_devices,
            ballistic=ballistic,
            threads=threads,
        )

    nominal, dispersed = both(inputs, (earlier.nominal, earlier.dispersed) if earlier else None)
    unlit = None
    if entry.motor_count > 1:
        unlit = both(flight_inputs(day, entry, conditions, unlit=1), earlier.unlit if earlier else None)
    return Flown(inputs, nominal, dispersed, unlit)


def _gust(inputs: FlightInputs) -> float | None:
    """The larger of the gust reading's turbulence and the standard one; None leaves it to the standard one."""
    if inputs.gust_sigma_mps is None:
        return None
    from service.flight.dispersion import standard_gust_sigma_mps

    return max(inputs.gust_sigma_mps, standard_gust_sigma_mps(inputs.setup))


def assess_entry(
    day: LaunchDay,
    entry: Entry,
    conditions: Conditions | None = None,
    *,
    ground: Ground | None = None,
    at: datetime | None = None,
    seed: int = SEED,
    threads: int | None = None,
    most_samples: int = SAMPLE_CAP,
) -> Assessment:
    """Assess one entry in one set of conditions.

    Parameters
    ----------
    day, entry
        The checked document and one of its entries.
    conditions : Conditions, optional
        In place of the day's current ones, such as an hour of the forecast.
    ground : Ground, optional
        `ground_of(day)`, where many entries share it.
    at : datetime, optional
        The moment the age of the conditions is counted to; left out, none is counted, and somebody answers for it on
        the day. Ceilings and daylight are then those of the time that the conditions are of.
    seed : int
        Of the dispersion.
    threads : int, optional
        For the dispersion; default all processors.
    most_samples : int
        Where to stop drawing more when a verdict is too near to call; the policy's count for none at all.

    Returns
    -------
    Assessment
        A flight that cannot be computed does not raise: its estimate is null, its standing never clear, and
        `unknowns` says why.
    """
    conditions = conditions or day.conditions
    ground = ground or ground_of(day)
    samples = day.policy.samples
    flown: Flown | None = None
    ballistic = True
    while True:
        result, flown = _assess_once(day, entry, conditions, ground, at, samples, seed, threads, flown, ballistic)
        grown = min(samples * GROWTH, most_samples)
        near = _too_near_to_call(result)
        if grown <= samples or not near:
            return result
        samples = grown
        # once left out it stays out: its rows would no longer belong to the same draws
        ballistic = ballistic and any("no_deployment" in quantity for quantity in near)


def _too_near_to_call(result: Assessment) -> list[str]:
    """Quantities that more samples could settle: the limit lies inside the interval of a known chance."""
    return [
        finding.quantity
        for finding in result.findings
        if finding.statistic == "interval"
        and finding.standing == "unknown"
        and finding.measured is not None
        and finding.limit is not None
        and finding.quantity is not None
    ]


def _assess_once(
    day: LaunchDay, entry: Entry, conditions: Conditions, ground: Ground, at: datetime | None, samples: int, seed: int,
    threads: int | None, earlier: Flown | None, ballistic: bool,
) -> tuple[Assessment, Flown | None]:  # fmt: skip
    pad = day.pad_by_name(entry.pad)
    pad_at = ground.pad_at(pad)
    why = ""
    flown: Flown | None = None
    inputs: FlightInputs | None = None
    try:
        flown = fly_entry(day, entry, conditions, samples, seed, threads, earlier, ballistic)
        inputs = flown.inputs
    except FlightError as error:
        why = str(error)
        try:
            inputs = flight_inputs(day, entry, conditions)
        except FlightError:
            inputs = None

    estimate, track, risk, risk_why = None, None, None, ""
    footprints: list[ModeFootprint] = []
    centre: tuple[float, float] | None = None
    ascent: list[tuple[float, float]] = []
    if flown is not None:
        estimate = estimate_of(flown.inputs, flown.nominal, flown.dispersed)
        track = track_of(flown.nominal, [device.name for device in flown.inputs.setup.devices])
        clouds = clouds_of(flown.nominal, flown.dispersed, pad_at)
        if not flown.inputs.setup.devices:  # nothing opens: the planned flight is the ballistic one
            clouds = [cloud for cloud in clouds if cloud.mode != "no_deployment"]
        if flown.unlit is not None:
            clouds += clouds_of(*flown.unlit, pad_at, rename={"planned": "one_unlit"})
        chances = mode_chances(day, [cloud.mode for cloud in clouds])
        footprints = [mode_footprint(ground, cloud, chances[cloud.mode], pad_at) for cloud in clouds]
        risk, risk_why = people_risk(ground, clouds, chances, flown.inputs)
        planned_cloud = clouds[0]
        if planned_cloud.lost == 0:
            centre = (float(planned_cloud.east_m.mean()), float(planned_cloud.north_m.mean()))
        top_s = flown.nominal.figures["apogee_s"]
        ascent = [
            (e + pad_at[0], n + pad_at[1])
            for t, e, n in zip(track.time_s, track.east_m, track.north_m, strict=True)
            if t <= top_s
        ]
    else:
        footprints = [unknown_footprint("planned", None, why)]

    flown_at = max(at or conditions.observed_at, conditions.observed_at)
    facts = {
        **known.rocket_facts(day, entry),
        **known.weather_facts(day, conditions, pad, at, estimate.flight_time_s.nominal if estimate else None),
        **known.estimate_facts(
            inputs,
            estimate,
            conditions,
            guide_thrust_to_weight(flown.inputs, flown.nominal) if flown else None,
            nothing_opened(flown.dispersed) if flown else None,
        ),
        **known.ground_facts(ground, footprints, risk, centre, ascent, widest_arc_deg(conditions)),
        **known.field_facts(day, ground, pad, flown_at),
    }
    attested = {**day.attestations, **entry.attestations}
    remarks = {"ceiling_agl_m": ceilings} if (ceilings := not_counted(day, flown_at)) else {}
    findings = evaluate_all(day.codes, day.local_rules, facts, attested, remarks)
    standing = worst_standing(findings)
    if flown is None and standing in ("clear", "caution"):
        standing = "unknown"  # what was not flown is not cleared by the rules that could be checked
    planned = next((each for each in footprints if each.mode == "planned"), None)
    age_min = known.age_min(conditions, at)
    stale = age_min is not None and not 0.0 <= age_min <= day.policy.conditions_max_age_min
    motor = day.motor_by_id(entry.motor)
    result = Assessment(
        id=assessment_id(day, entry, conditions, seed, stale, at),
        engine=engine(),
        entry=entry.id,
        rocket=entry.rocket.name,
        flyer=entry.flyer.name,
        motor=_motor_words(entry, motor.maker, motor.designation),
        pad=entry.pad,
        conditions_at=conditions.observed_at.isoformat(),
        standing=standing,
        decides=_decides(findings, standing, why if flown is None else ""),
        answer=words.answer(planned, why),
        estimate=estimate,
        footprints=tuple(footprints),
        findings=tuple(findings),
        checklist=tuple(checklist(day.codes, day.local_rules, facts, attested)),
        unknowns=tuple(_unknowns(why, flown, footprints, findings, risk_why, day)),
        cautions=tuple(_cautions(findings, flown, conditions)),
        risk=risk,
        track=track,
        samples=samples if flown else 0,
        seed=seed,
        spreads=dict(flown.dispersed.spreads) if flown else {},
        correction=day.correction_of(entry.rocket.name),
    )
    return result, flown


def _decides(findings: list[Finding], standing: Standing, why: str) -> str:
    """A stop decides though the flight could not be computed; else that it could not does."""
    if not why:
        return words.decides(findings)
    stop = f"{words.decides(findings)} " if standing == "stop" else ""
    return f"{stop}The flight could not be computed: {why}."


def _motor_words(entry: Entry, maker: str, designation: str) -> str:
    count = f"{entry.motor_count} × " if entry.motor_count > 1 else ""
    delay = f", delay {entry.delay_s:g} s" if entry.delay_s is not None else ""
    return f"{count}{maker} {designation}{delay}"


def _unknowns(
    why: str, flown: Flown | None, footprints: list[ModeFootprint], findings: list[Finding], risk_why: str,
    day: LaunchDay,
) -> Iterable[str]:  # fmt: skip
    """Every gap, in words."""
    if why:
        yield f"The flight could not be computed: {why}."
    if flown is not None:
        lost = int((~flown.dispersed.flown).sum())
        if lost:
            yield f"{lost:,} of {flown.dispersed.flown.size:,} dispersed flights could not be computed."
        if flown.inputs.unknown_shape:
            yield "The airframe is not described: it was flown as a generic one, its margin drawn from 1 to 3 calibers."
        if flown.inputs.lugs_taken:
            yield "Where its launch lugs sit is not stated: a lone one was taken at the loaded centre of gravity."
    for footprint in footprints:
        if footprint.unknown and not why:
            yield f"{MODE_PHRASES[footprint.mode]}: {footprint.unknown}."
    if risk_why and not why:
        yield f"The risk to people is not known: {risk_why}."
    for finding in findings:
        if finding.standing == "unknown":
            yield words.finding_sentence(finding)


def _cautions(findings: list[Finding], flown: Flown | None, conditions: Conditions) -> Iterable[str]:
    """What the safety officer should have in mind: late openings, a wind without one direction, the findings at
    caution, then what always holds."""
    if flown is not None:
        yield from arc_words(conditions)
    if flown is not None and flown.inputs.setup.devices:
        opened = flown.dispersed.landings["planned"][flown.dispersed.flown][:, 5]
        closed = int((opened < 1).sum())
        if closed:
            yield f"In {closed:,} of {opened.size:,} dispersed flights nothing had opened before the ground."
    for finding in findings:
        if finding.standing == "caution":
            yield words.finding_sentence(finding)
    yield from USUAL_CAUTIONS


def assess_day(
    day: LaunchDay,
    document: str,
    *,
    entries: Iterable[str] | None = None,
    conditions: Conditions | None = None,
    at: datetime | None = None,
    seed: int = SEED,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> DayAssessment:
    """Assess all entries, or those named, in the order that needs attention most.

    Parameters
    ----------
    day : LaunchDay
    document : str
        SHA-256 of the document as it was read.
    entries : iterable of str, optional
        Ids to assess; all by default.
    conditions, at, seed
        As `assess_entry`.
    executor : Executor, optional
        Does the work; by default a pool with a thread a processor. The answer does not depend on it.
    progress : callable, optional
        Called with (done, in all, entry id).

    Raises
    ------
    KeyError
        If an entry id is not known.
    """
    chosen = [day.entry_by_id(each) for each in dict.fromkeys(entries)] if entries is not None else list(day.entries)
    ground = ground_of(day)
    pool = executor or ThreadPoolExecutor(os.cpu_count() or 1)
    try:
        jobs = {
            pool.submit(assess_entry, day, entry, conditions, ground=ground, at=at, seed=seed, threads=1): entry.id
            for entry in chosen
        }
        found: dict[str, Assessment] = {}
        for done, job in enumerate(as_completed(jobs), start=1):
            found[jobs[job]] = job.result()
            if progress:
                progress(done, len(jobs), jobs[job])
    finally:
        if executor is None:
            pool.shutdown(wait=True, cancel_futures=True)
    ordered = sorted((found[entry.id] for entry in chosen), key=attention)
    return DayAssessment(
        day=day.name,
        date=day.date.isoformat(),
        document=document,
        engine=engine(),
        conditions_at=(conditions or day.conditions).observed_at.isoformat(),
        wind=" ".join(arc_words(conditions or day.conditions)),
        standings={each: sum(1 for one in ordered if one.standing == each) for each in WORST_FIRST},
        assessments=tuple(ordered),
    )


def attention(assessment: Assessment) -> tuple[int, int, str]:
    """Sort key: the worst standing first, then by how many findings stand there, then by id."""
    worst = sum(1 for finding in assessment.findings if finding.standing == assessment.standing)
    return WORST_FIRST.index(assessment.standing), -worst, assessment.entry


def modes_of(assessment: Assessment) -> list[Mode]:
    """The modes an assessment has, planned first."""
    return [footprint.mode for footprint in assessment.footprints]
