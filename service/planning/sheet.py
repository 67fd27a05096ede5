"""Turns assessments into what `reports` prints. Nothing is computed here that an assessment does not already say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Literal
from zoneinfo import ZoneInfo

import shapely

from geo.bearings import magnetic_from_true_deg
from geo.declination import declination_deg
from reports.amounts import Amount, Limit, Quantity, Words
from reports.ground_data import Contour, FieldPlan, Footprint, NearestEdge, PadMark, Path, Point
from reports.ground_data import Zone as DrawnZone
from reports.sheet import render_sheet
from reports.sheet_data import (
    Ceiling,
    Conditions,
    EntryPage,
    ErrorSource,
    Event,
    Figure,
    Finding,
    Flight,
    ModeRisk,
    PadSettings,
    RangeSheet,
    Tick,
    WindLayer,
)
from service.codes.load import editions
from service.flight.error_sources import SOURCES
from service.models.assessment import Assessment, DayAssessment, ModeFootprint, Spread
from service.models.conditions import Conditions as Weather
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import ChecklistItem
from service.models.finding import Finding as Found
from service.models.rule import Rule
from service.planning.assess import USUAL_CAUTIONS
from service.planning.facts import ceiling_in_force
from service.planning.ground import Ground, ground_of
from service.planning.sheet_corrections import correction_note, reckoned_corrections
from service.planning.sheet_words import CHECK_WORDS, KNOWN_WORDS, note_words, plain_words, short_meaning, short_source
from service.planning.words import figure as figure_words
from service.planning.words import finding_sentence, kept_words

DAY_CAUTIONS = (
    "Where local code or the authority having jurisdiction says otherwise, that holds.",
    "The range safety officer may refuse any flight, whatever stands here.",
    "People watch every flight, and look up when a flight is called as a heads-up.",
)
# the figures that decide, in the order they are read: name, field of the estimate, quantity, rule whose limit it shows
FIGURES: tuple[tuple[str, str, Quantity, tuple[str, ...]], ...] = (
    ("Speed off the guide", "exit_speed_mps", "speed", ("adv-exit-speed",)),
    ("Static margin off the guide", "static_margin_cal", "calibers", ("us-hpr-stability", "adv-margin-low")),
    ("Apogee above the field", "apogee_m", "length", ("us-coa-ceiling", "us-hpr-ceiling", "club-ceiling")),
    ("Airspeed at the first opening", "deploy_speed_mps", "speed", ("adv-deploy-speed",)),
    ("Opening off the apogee by", "deploy_delay_error_s", "time", ("adv-ejection-time",)),
    ("Best delay", "best_delay_s", "time", ()),
    ("Fall under the drogue", "drogue_descent_speed_mps", "speed", ("adv-descent-drogue",)),
    ("Speed of fall at landing", "descent_speed_mps", "speed", ("adv-descent-main",)),
    ("Landing energy", "landing_energy_j", "energy", ("adv-landing-ke",)),
    ("Greatest speed", "greatest_speed_mps", "speed", ()),
    ("Flight time", "flight_time_s", "time", ()),
)
UNITS: dict[str, Quantity] = {
    "m": "length", "m/s": "speed", "J": "energy", "s": "time", "cal": "calibers", "kg": "mass", "N": "force",
    "N*s": "impulse", "deg": "angle",
}  # fmt: skip


def range_sheet(
    day: LaunchDay,
    result: DayAssessment,
    *,
    made_at: datetime,
    age_min: float | None,
    conditions: Weather | None = None,
    address: Callable[[str], str] | None = None,
) -> RangeSheet:
    """The whole sheet as plain values.

    Parameters
    ----------
    day, result
        The document and its assessments.
    made_at : datetime
        Printed on the sheet; an aware time.
    age_min : float or None
        Age of the conditions when it was made; None prints as not known. [min]
    conditions : Weather, optional
        Those assessed, when not the day's current ones.
    address : callable, optional
        Gives what the code on an entry's page leads to, for an assessment's id.
    """
    ground = ground_of(day)
    weather = conditions or day.conditions
    zone = ZoneInfo(day.timezone)
    pages = tuple(
        replace(
            _entry_page(day, ground, day.entry_by_id(each.entry), each), address=address(each.id) if address else ""
        )
        for each in result.assessments
    )
    day_items = {
        item.rule: _tick(item) for each in result.assessments for item in each.checklist if item.per == "day"
    }
    risk = next((each.risk for each in result.assessments if each.risk), None)
    spreads = next((each.spreads for each in result.assessments if each.spreads), {})
    return RangeSheet(
        day=day.name,
        date=day.date,
        timezone=day.timezone,
        field=field_plan(day, ground),
        elevation_m=day.field.elevation_m,
        conditions=_conditions(weather, age_min, day, zone),
        ceiling=_ceiling(day, weather, zone),
        entries=pages,
        document_hash=result.document,
        engine_version=result.engine,
        code_editions=tuple(
            f"{each.title}, edition {each.edition} ({KNOWN_WORDS[each.known]}, "
            + (f"checked {each.checked_on.isoformat()})" if each.checked_on else "not yet checked by the organiser)")
            for each in editions(list(day.codes))
        ),
        made_at=made_at.astimezone(zone),
        ticks=tuple(day_items.values()),
        cautions=DAY_CAUTIONS,
        local_rules=tuple(_local_rule(rule, result) for rule in day.local_rules),
        error_sources=tuple(
            ErrorSource(
                plain_words(source.meaning), _spread_words(spreads[source.name], source.unit), plain_words(source.basis)
            )
            for source in SOURCES
            if source.name in spreads
        ),
        risk_assumptions=risk.assumptions if risk else (),
        corrections=reckoned_corrections(result.assessments, day.timezone),
    )


def _local_rule(rule: Rule, result: DayAssessment) -> str:
    """A local rule as it reads with its limit, where all entries have the same one."""
    said = {found.statement for each in result.assessments for found in each.findings if found.rule == rule.id}
    general = (rule.says or rule.protects).replace("{limit}", "a limit that depends on the entry")
    text = said.pop() if len(said) == 1 else general
    return f"{rule.id}: {plain_words(text)}" + (f" Reason: {rule.reason}" if rule.reason else "")


def sheet_pdf(sheet: RangeSheet, paper: str = "A4", units: str = "si") -> bytes:
    """The sheet as a PDF. `paper` is A4 or letter, `units` si or us."""
    return render_sheet(sheet, paper, units)  # type: ignore[arg-type]


def field_plan(day: LaunchDay, ground: Ground) -> FieldPlan:
    """Boundary, zones and pads in metres for the map."""
    return FieldPlan(
        name=day.field.name,
        boundary=tuple(_rings(ground.boundary)),
        zones=tuple(
            DrawnZone(
                name=zone.name,
                kind=zone.kind,  # type: ignore[arg-type]
                paths=tuple(_rings(zone.shape)),
                shape="area" if zone.shape.area > 0.0 else "line",
                people=zone.zone.people,
            )
            for zone in ground.zones
        ),
        pads=tuple(PadMark(pad.name, ground.pad_at(pad)) for pad in day.field.pads),
    )


def _rings(geometry: shapely.Geometry) -> list[Path]:
    rings: list[Path] = []
    for part in shapely.get_parts(geometry):
        if part.geom_type == "Polygon":
            lines = [part.exterior, *part.interiors]
        else:
            lines = [part]
        rings += [tuple((float(x), float(y)) for x, y in line.coords) for line in lines]
    return rings


def _conditions(weather: Weather, age_min: float | None, day: LaunchDay, zone: ZoneInfo) -> Conditions:
    return Conditions(
        observed_at=weather.observed_at.astimezone(zone),
        source=weather.source,
        age_min=age_min,
        max_age_min=day.policy.conditions_max_age_min,
        temperature_c=weather.temperature_c,
        pressure_hpa=weather.pressure_hpa,
        relative_humidity=weather.relative_humidity,
        cloud_cover=weather.cloud_cover,
        cloud_base_m=weather.cloud_base_m,
        visibility_m=weather.visibility_m,
        wind=tuple(WindLayer(w.height_m, w.speed_mps, w.from_deg, w.gust_mps) for w in weather.wind),
    )


def _ceiling(day: LaunchDay, weather: Weather, zone: ZoneInfo) -> Ceiling | None:
    elevation_m = day.field.elevation_m
    highest = ceiling_in_force(day, weather.observed_at)
    if highest is None:
        return None
    agl_m = highest.height_agl_m(elevation_m)
    notes = []
    for each in day.ceilings:
        if each.from_at or each.to_at or each.condition:
            opens, closes = (t.astimezone(zone).strftime("%H:%M") if t else "" for t in (each.from_at, each.to_at))
            notes.append(
                f"{each.height_m:,.0f} m {each.datum.upper()}"
                + (f" from {opens}" if opens else "")
                + (f" until {closes}" if closes else "")
                + (f" ({each.condition})" if each.condition else "")
            )
    return Ceiling(agl_m, agl_m + elevation_m, highest.datum, "; ".join(notes))


def _spread_words(value: float, unit: str) -> str:
    if unit == "fraction":
        return f"{100.0 * value:g} %"
    return f"{value:g} {unit}".replace(" °", "°")


def _tick(item: ChecklistItem) -> Tick:
    return Tick(item.text, item.source.clause, item.by, item.at, CHECK_WORDS.get(item.rule, ""))


def _amount(spread: Spread, quantity: Quantity, why: str = "not computed") -> Amount:
    return Amount(spread.nominal, quantity, spread.half_width, why if spread.nominal is None else "")


def _limit_of(found: Found, quantity: Quantity) -> Limit | None:
    if found.limit_si is None or found.comparison not in ("at_least", "at_most"):
        return None
    return Limit(found.comparison, Amount(found.limit_si, quantity))


def _figures(each: Assessment) -> tuple[Figure, ...]:
    estimate = each.estimate
    by_rule = {finding.rule: finding for finding in each.findings}
    if estimate is None:
        return ()
    rows = []
    weight = by_rule.get("us-hpr-weight") or by_rule.get("adv-twr-5")
    for name, field, quantity, rules in FIGURES:
        spread: Spread = getattr(estimate, field)
        if spread.nominal is None and field in ("drogue_descent_speed_mps",):
            continue
        found = next((by_rule[rule] for rule in rules if rule in by_rule), None)
        rows.append(
            Figure(
                name,
                _amount(spread, quantity),
                _limit_of(found, quantity) if found else None,
                found.standing if found else None,
            )
        )
    rows.insert(
        1,
        Figure(
            "Thrust to weight",
            Amount(estimate.thrust_to_weight, "ratio"),
            _limit_of(weight, "ratio") if weight else None,
            weight.standing if weight else None,
        ),
    )
    return tuple(rows)


def _sense(found: Found) -> Literal["at_least", "at_most"]:
    """Which way a limit cuts; of a rule with two, that of the side it names, which is the nearer or the broken one."""
    if found.comparison in ("at_least", "at_most"):
        return found.comparison  # type: ignore[return-value]
    over = isinstance(found.measured, float) and found.limit is not None and found.measured > found.limit
    return "at_least" if over == (found.margin is None or found.margin >= 0.0) else "at_most"


def _finding(found: Found) -> Finding:
    quantity = UNITS.get(found.si_unit)
    measured: Amount | str | None
    limit: Limit | str | None
    if isinstance(found.measured, bool) or found.comparison == "requires":
        measured = kept_words(found)
    elif isinstance(found.measured, str) or found.measured is None:
        measured = plain_words(found.measured) if found.measured else None
    elif quantity and found.measured_si is not None:
        measured = Amount(found.measured_si, quantity)
    else:
        measured = figure_words(float(found.measured), found.unit)
    if found.limit is None:
        limit = None
    elif quantity and found.limit_si is not None:
        limit = Limit(_sense(found), Amount(found.limit_si, quantity))
    else:
        limit = f"{_sense(found).replace('_', ' ')} {figure_words(found.limit, found.unit)}"
    return Finding(
        rule_id=found.rule,
        says=f"{plain_words(found.statement)} {note_words(found)}".strip(),
        standing=found.standing,
        weight=found.weight,
        measured=measured,
        limit=limit,
        clause=found.source.clause,
        edition=found.source.edition,
        known=KNOWN_WORDS[found.source.known],
        short=short_meaning(found),
        short_source=short_source(found),
    )


def _footprint(ground: Ground, each: ModeFootprint) -> Footprint:
    def local(point: tuple[float, float]) -> Point:
        east, north = ground.frame.to_local(*point)
        return float(east), float(north)

    edge = each.nearest_edge
    return Footprint(
        mode=each.mode,
        contours=tuple(
            Contour(c.share, tuple(_rings(ground.frame.project_geometry(shapely.geometry.shape(c.geometry)))))
            for c in each.contours
        ),
        landing=local(each.landing) if each.landing else None,
        chance_inside=each.inside.estimate if each.inside else None,
        chance_inside_low=each.inside.low if each.inside else None,
        chance_inside_high=each.inside.high if each.inside else None,
        nearest_edge=NearestEdge(
            edge.distance_m, edge.bearing_deg, local(edge.contour_point), local(edge.boundary_point)
        )
        if edge
        else None,
        farthest_m=each.farthest_m,
        samples=each.samples or None,
        why_unknown=each.unknown if each.inside is None else "",
    )


def _entry_page(day: LaunchDay, ground: Ground, entry: Entry, each: Assessment) -> EntryPage:
    estimate, track = each.estimate, each.track
    why = "; ".join(each.unknowns) or "not computed"
    flight = None
    if track is not None:
        flight = Flight(
            track.time_s, track.height_m, tuple(Event(e.name, e.time_s, e.height_m) for e in track.events)
        )
    risks = tuple(_mode_risk(each, footprint) for footprint in each.footprints)
    findings = tuple(_finding(found) for found in each.findings)
    said = {finding_sentence(found) for found in each.findings}  # these print among the findings, once
    return EntryPage(
        entry_id=each.entry,
        rocket=each.rocket,
        flyer=entry.flyer.name,  # assessments that are kept leave it out
        motor=each.motor,
        pad=each.pad,
        standing=each.standing,
        decides=plain_words(each.decides),
        decides_short=_decides_short(each, findings),
        apogee=_amount(estimate.apogee_m, "length") if estimate else Amount(None, "length", None, why),
        assessment_id=each.id,
        footprints=tuple(_footprint(ground, footprint) for footprint in each.footprints),
        figures=_figures(each),
        findings=findings,
        flight=flight,
        why_no_flight="" if flight else why,
        unknowns=tuple(plain_words(unknown) for unknown in each.unknowns if unknown not in said),
        pad_settings=_pad_settings(day, entry, each),
        risks=risks,
        ticks=tuple(_tick(item) for item in each.checklist if item.per == "entry"),
        cautions=tuple(plain_words(c) for c in each.cautions if c not in USUAL_CAUTIONS and c not in said),
    )


def _decides_short(each: Assessment, findings: tuple[Finding, ...]) -> Words:
    """The worst finding as a figure beside its limit; '' where no figure decides. Findings come worst first."""
    if not findings or findings[0].standing == "clear" or each.estimate is None:
        return ""
    worst = findings[0]
    if not worst.short or worst.measured is None or worst.limit is None:
        return ""
    more = sum(finding.standing == worst.standing for finding in findings) - 1
    tail = f"; {more} more at {worst.standing}" if more else ""
    return (f"{worst.short} ", worst.measured, ", ", worst.limit, f" ({worst.short_source}){tail}")


def _mode_risk(each: Assessment, footprint: ModeFootprint) -> ModeRisk:
    share = next((s for s in each.risk.shares if s.mode == footprint.mode), None) if each.risk else None
    return ModeRisk(
        mode=footprint.mode,
        chance=footprint.chance,
        basis="what the failures leave" if footprint.mode == "planned" else "the club's own figure",
        chance_among_people=footprint.people.estimate if footprint.people else None,
        individual=share.individual if share else None,
        collective=share.collective if share else None,
    )


def _pad_settings(day: LaunchDay, entry: Entry, each: Assessment) -> PadSettings:
    pad, motor = day.pad_by_name(entry.pad), day.motor_by_id(entry.motor)
    if entry.delay_s is None:
        delay = "plugged" if motor.delays.kind == "plugged" else "none chosen"
    elif motor.delays.kind == "adjustable" and entry.delay_s < motor.delays.longest_s:
        delay = f"{entry.delay_s:g} s, drilled from {motor.delays.longest_s:g} s"
    else:
        delay = f"{entry.delay_s:g} s, as sold"
    return PadSettings(
        pad=pad.name,
        guide=pad.guide,
        guide_length_m=pad.guide_length_m,
        tilt_deg=pad.tilt_deg,
        azimuth_deg=pad.azimuth_deg,
        delay=delay,
        notes=(*_compass_note(day, entry), *correction_note(each.correction, day.timezone)),
    )


def _compass_note(day: LaunchDay, entry: Entry) -> tuple[str, ...]:
    """The azimuth as a hand compass shows it, where the guide leans and the declination is known."""
    pad = day.pad_by_name(entry.pad)
    if pad.tilt_deg <= 0.0:
        return ()
    declination = declination_deg(pad.position[0], pad.position[1], day.date, day.field.elevation_m)
    if declination is None:
        return ("Azimuth is from true north; the compass declination here is not known.",)
    magnetic = magnetic_from_true_deg(pad.azimuth_deg, declination)
    side = "east" if declination >= 0.0 else "west"
    return (f"By compass {magnetic:.0f}° (declination {abs(declination):.1f}° {side}).",)
