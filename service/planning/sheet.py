"""Turns assessments into what `reports` prints. Nothing is computed here that an assessment does not already say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import shapely

from geo.bearings import magnetic_from_true_deg
from geo.declination import declination_deg
from reports.amounts import Amount, AsPrinted, Quantity, Words, joined
from reports.ground_data import Contour, FieldPlan, Footprint, NearestEdge, PadMark, Path, Point
from reports.ground_data import Zone as DrawnZone
from reports.sentences import sentence
from reports.sheet import render_sheet
from reports.sheet_data import (
    Ceiling,
    Conditions,
    EntryPage,
    ErrorSource,
    Event,
    Figure,
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
from service.models.finding import WORST_FIRST, ChecklistItem
from service.models.finding import Finding as Found
from service.models.rule import Rule
from service.planning.assess import USUAL_CAUTIONS
from service.planning.facts import ceiling_in_force
from service.planning.ground import Ground, ground_of
from service.planning.misfire import longer_wait
from service.planning.people_risk import yardstick_words
from service.planning.printed_figures import in_readers_units, rule_words
from service.planning.sheet_corrections import correction_note, reckoned_corrections
from service.planning.sheet_findings import decides, decides_short, limit_beside, printed_finding
from service.planning.sheet_words import CHECK_WORDS, KNOWN_WORDS, SOURCE_MEANING, plain_words
from service.planning.weather.told import source_words
from service.planning.words import finding_sentence

DAY_CAUTIONS = (
    "Where local code or the authority having jurisdiction says otherwise, that holds.",
    "The range safety officer may refuse any flight, whatever stands here.",
    "People watch every flight, and look up when a flight is called as a heads-up.",
)
# the figures that decide, in the order they are read: name, field of the estimate, quantity, rule whose limit it shows
FIGURES: tuple[tuple[str, str, Quantity, tuple[str, ...]], ...] = (
    ("Speed off the guide", "exit_speed_mps", "speed", ("adv-exit-speed",)),
    (
        "Static margin off the guide",
        "static_margin_cal",
        "calibers",
        ("us-hpr-stability", "mot-stable", "adv-margin-low"),
    ),
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


def range_sheet(
    day: LaunchDay,
    result: DayAssessment,
    *,
    made_at: datetime,
    age_min: float | None,
    conditions: Weather | None = None,
    address: Callable[[str], str] | None = None,
    checked_on: Mapping[str, date] | None = None,
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
    checked_on : mapping, optional
        When the organiser compared each of the day's codes with the text in force, by its id.
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
        item.rule: _tick(item, zone) for each in result.assessments for item in each.checklist if item.per == "day"
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
        code_editions=_editions(day, checked_on or {}),
        made_at=made_at.astimezone(zone),
        ticks=tuple(day_items.values()),
        beyond_ticks=longer_wait(day.policy),
        cautions=DAY_CAUTIONS,
        local_rules=tuple(_local_rule(rule, result) for rule in day.local_rules),
        error_sources=tuple(
            ErrorSource(
                plain_words(source.meaning), _spread_words(spreads[source.name], source.unit), plain_words(source.basis)
            )
            for source in SOURCES
            if source.name in spreads
        ),
        risk_assumptions=tuple(in_readers_units(text) for text in risk.assumptions) if risk else (),
        corrections=reckoned_corrections(result.assessments, day.timezone),
        source_meaning=SOURCE_MEANING,
        code_titles=tuple(each.short_title for each in editions(list(day.codes))),
    )


def _editions(day: LaunchDay, checked_on: Mapping[str, date]) -> tuple[str, ...]:
    """Each code with its edition and how it is known; what the organiser has not checked is said, once if of all."""
    found = [
        each.model_copy(update={"checked_on": checked_on.get(each.id, each.checked_on)})
        for each in editions(list(day.codes))
    ]
    unchecked = [each for each in found if each.checked_on is None]
    said = []
    for each in found:
        checked = f", checked {each.checked_on.isoformat()}" if each.checked_on else ""
        if each.checked_on is None and len(unchecked) < len(found):
            checked = ", not yet checked by the organiser"
        said.append(f"{each.title}, edition {each.edition} ({KNOWN_WORDS[each.known]}{checked})")
    if found and len(unchecked) == len(found):
        said[-1] += ". The organiser has checked none of them yet."
    return tuple(said)


def _local_rule(rule: Rule, result: DayAssessment) -> Words:
    """A local rule as it reads with its limit, where all entries have the same one."""
    said = {found.statement: found for each in result.assessments for found in each.findings if found.rule == rule.id}
    general = (rule.says or rule.protects).replace("{limit}", "a limit that depends on the entry")
    if len(said) == 1:
        [(text, found)] = said.items()
        words = rule_words(sentence(plain_words(text)), found)
    else:
        words = in_readers_units(sentence(plain_words(general)))
    return joined(f"{rule.id}: ", words, f" Reason: {rule.reason}" if rule.reason else "")


def sheet_pdf(
    sheet: RangeSheet, paper: str = "A4", units: str = "si", progress: Callable[[int, int, str], None] | None = None
) -> bytes:
    """The sheet as a PDF. `paper` is A4 or letter, `units` si or us; `progress` is told (done, in all, words)."""
    return render_sheet(sheet, paper, units, progress)  # type: ignore[arg-type]


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
        source=source_words(weather, day.timezone),
        age_min=age_min,
        max_age_min=day.policy.conditions_max_age_min,
        temperature_c=weather.temperature_c,
        pressure_hpa=weather.pressure_hpa,
        relative_humidity=weather.relative_humidity,
        cloud_cover=weather.cloud_cover,
        cloud_base_m=weather.cloud_base_m,
        visibility_m=weather.visibility_m,
        wind=tuple(WindLayer(w.height_m, w.speed_mps, w.from_deg, w.gust_mps, arc_deg=w.arc_deg) for w in weather.wind),
    )


def _ceiling(day: LaunchDay, weather: Weather, zone: ZoneInfo) -> Ceiling | None:
    elevation_m = day.field.elevation_m
    highest = ceiling_in_force(day, weather.observed_at)
    if highest is None:
        return None
    agl_m = highest.height_agl_m(elevation_m)
    notes: list[Words] = []
    for each in day.ceilings:
        if each.from_at or each.to_at or each.condition:
            opens, closes = (t.astimezone(zone).strftime("%H:%M") if t else "" for t in (each.from_at, each.to_at))
            window = (
                f" {each.datum.upper()}"
                + (f" from {opens}" if opens else "")
                + (f" until {closes}" if closes else "")
                + (f" ({each.condition})" if each.condition else "")
            )
            notes += ["; ", (AsPrinted((Amount(each.height_m, "length"),)), window)]
    return Ceiling(agl_m, agl_m + elevation_m, highest.datum, joined(*notes[1:]))


def _spread_words(value: float, unit: str) -> Words:
    if unit == "fraction":
        return f"{100.0 * value:g} %"
    said = in_readers_units(f"{value:g} {unit}".replace(" °", "°"))
    return (
        said
        if isinstance(said, str)
        else tuple(replace(part, printed="") if isinstance(part, AsPrinted) else part for part in said)
    )  # these are ours: no source prints them


def _tick(item: ChecklistItem, zone: ZoneInfo) -> Tick:
    text = in_readers_units(plain_words(item.text))
    at = item.at.astimezone(zone) if item.at else None
    return Tick(text, item.source.clause, item.by, at, CHECK_WORDS.get(item.rule, ""))


def _amount(spread: Spread, quantity: Quantity, why: str = "not computed") -> Amount:
    return Amount(spread.nominal, quantity, spread.half_width, why if spread.nominal is None else "")


def _held_against(found: list[Found], quantity: Quantity) -> Found | None:
    """Of the findings that bear on a figure, the worst; of those alike, one that has a limit to print."""
    return min(
        found,
        key=lambda each: (WORST_FIRST.index(each.standing), limit_beside(each, quantity) is None),
        default=None,
    )


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
        found = _held_against([by_rule[rule] for rule in rules if rule in by_rule], quantity)
        rows.append(
            Figure(
                name,
                _amount(spread, quantity),
                limit_beside(found, quantity) if found else None,
                found.standing if found else None,
            )
        )
    rows.insert(
        1,
        Figure(
            "Thrust to weight",
            Amount(estimate.thrust_to_weight, "ratio"),
            limit_beside(weight, "ratio") if weight else None,
            weight.standing if weight else None,
        ),
    )
    return tuple(rows)


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
        flight = Flight(track.time_s, track.height_m, tuple(Event(e.name, e.time_s, e.height_m) for e in track.events))
    risks = tuple(_mode_risk(each, footprint) for footprint in each.footprints)
    findings = tuple(printed_finding(found) for found in each.findings)
    said = {finding_sentence(found) for found in each.findings}  # these print among the findings, once
    return EntryPage(
        entry_id=each.entry,
        rocket=each.rocket,
        flyer=entry.flyer.name,  # assessments that are kept leave it out
        motor=each.motor,
        pad=each.pad,
        standing=each.standing,
        decides=decides(each, findings),
        decides_short=decides_short(each, findings),
        apogee=_amount(estimate.apogee_m, "length") if estimate else Amount(None, "length", None, why),
        assessment_id=each.id,
        footprints=tuple(_footprint(ground, footprint) for footprint in each.footprints),
        figures=_figures(each),
        findings=findings,
        flight=flight,
        why_no_flight="" if flight else why,
        unknowns=tuple(in_readers_units(plain_words(unknown)) for unknown in each.unknowns if unknown not in said),
        pad_settings=_pad_settings(day, entry, each),
        risks=risks,
        risk_sums=yardstick_words(each.risk) if each.risk else "",
        ticks=tuple(_tick(item, ZoneInfo(day.timezone)) for item in each.checklist if item.per == "entry"),
        cautions=tuple(in_readers_units(plain_words(c)) for c in each.cautions if not _said_elsewhere(c, each, said)),
    )


def _said_elsewhere(caution: str, each: Assessment, said: set[str]) -> bool:
    """Whether a caution prints anyway: on the first page, or as a finding."""
    opens = next((found for found in each.findings if found.quantity == "nothing_opened_chance"), None)
    told = opens is not None and opens.standing != "clear" and "nothing had opened" in caution
    return told or caution in USUAL_CAUTIONS or caution in said


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
        guided_travel_m=each.estimate.guided_travel_m if each.estimate else None,
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
