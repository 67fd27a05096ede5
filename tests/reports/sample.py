"""An invented launch day, made by hand, to print without the rest of the project.

Club, field, people, rockets and motors do not exist. The figures are plausible, not computed by our simulator.
"""

from __future__ import annotations

import datetime as dt
import math

from reports.amounts import Amount, Limit, Standing
from reports.ground_data import Contour, FieldPlan, Footprint, NearestEdge, PadMark, Path, Zone
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

ZONE = dt.timezone(dt.timedelta(hours=-5))
NOW = dt.datetime(2027, 5, 15, 9, 12, tzinfo=ZONE)


def length(value: float | None, spread: float | None = None) -> Amount:
    return Amount(value, "length", spread)


def ellipse(east: float, north: float, long_m: float, short_m: float, turn_deg: float, count: int = 48) -> Path:
    """A contour as a dispersion would leave it: a ring of points. [m]"""
    turn = math.radians(90.0 - turn_deg)
    ring = []
    for i in range(count):
        a = 2.0 * math.pi * i / count
        x, y = long_m * math.cos(a), short_m * math.sin(a)
        ring.append((east + x * math.cos(turn) - y * math.sin(turn), north + x * math.sin(turn) + y * math.cos(turn)))
    return tuple(ring)


def planned(
    east: float, north: float, long_m: float, short_m: float, turn: float, inside: float, edge: NearestEdge | None
) -> Footprint:
    shares = ((0.5, 0.48), (0.95, 1.0), (0.99, 1.24))
    return Footprint(
        mode="planned",
        contours=tuple(Contour(s, (ellipse(east, north, k * long_m, k * short_m, turn),)) for s, k in shares),
        landing=(east, north),
        chance_inside=inside,
        chance_inside_low=max(inside - 0.01, 0.0),
        chance_inside_high=min(inside + 0.01, 1.0),
        nearest_edge=edge,
        farthest_m=math.hypot(east, north) + 1.5 * long_m,
        samples=1024,
    )


def ballistic(east: float, north: float, long_m: float, short_m: float, turn: float) -> Footprint:
    return Footprint(
        mode="no_deployment",
        contours=(Contour(0.99, (ellipse(east, north, long_m, short_m, turn),)),),
        chance_inside=0.999,
        samples=1024,
    )


FIELD = FieldPlan(
    name="Heron Meadow",
    boundary=(((-330, -260), (210, -300), (395, -120), (420, 210), (180, 350), (-90, 310), (-345, 330)),),
    zones=(
        Zone("Flight line", "people", (((-190, -205), (-20, -215), (-20, -185), (-190, -175)),), people=60),
        Zone("Car park", "parking", (((-290, -250), (-60, -268), (-60, -225), (-290, -212)),)),
        Zone("Barn", "building", (((250, -215), (285, -210), (280, -175), (246, -180)),)),
        Zone("Mill road", "road", (((-420, -300), (-100, -330), (260, -345), (480, -150)),), shape="line"),
        Zone("Heron pond", "water", (((190, 90), (260, 70), (310, 120), (280, 190), (215, 180)),)),
        Zone("North wood", "trees", (((-345, 330), (-90, 310), (-110, 240), (-330, 235)),)),
        Zone("Overhead line", "power_line", (((400, -330), (470, 360)),), shape="line"),
        Zone("Seed field", "keep_out", (((-330, -60), (-270, -65), (-275, 120), (-335, 130)),)),
    ),
    pads=(PadMark("A1", (-40, -60)), PadMark("A2", (-32, -60)), PadMark("B1", (30, 0)), PadMark("C1", (70, 60))),
)

CONDITIONS = Conditions(
    observed_at=dt.datetime(2027, 5, 15, 9, 0, tzinfo=ZONE),
    source="hand-held meter at the pads",
    age_min=12.0,
    max_age_min=30.0,
    temperature_c=18.0,
    pressure_hpa=978.0,
    relative_humidity=0.5,
    cloud_cover=0.3,
    cloud_base_m=1800.0,
    visibility_m=16000.0,
    wind=(
        WindLayer(2.0, 3.5, 220.0, 5.0, "hand-held meter"),
        WindLayer(150.0, 5.6, 228.0, None, "forecast"),
        WindLayer(600.0, 8.0, 240.0, None, "forecast"),
        WindLayer(1500.0, 11.0, 255.0, None, "forecast"),
    ),
)


def flight(apogee_m: float, apogee_s: float, burn_s: float, down_mps: float, deploy_s: float) -> Flight:
    """A parabola up, a steady descent down; enough for a plot."""
    times = [i * apogee_s / 60 for i in range(61)]
    heights = [apogee_m * (1 - (1 - t / apogee_s) ** 2) for t in times]
    opens_m = apogee_m - 4.9 * (deploy_s - apogee_s) ** 2
    land_s = deploy_s + opens_m / down_mps
    times += [deploy_s, land_s]
    heights += [opens_m, 0.0]

    def at(t: float) -> float:
        return apogee_m * (1 - (1 - t / apogee_s) ** 2)

    return Flight(
        tuple(times),
        tuple(heights),
        (
            Event("guide end", 0.31, at(0.31)),
            Event("burnout", burn_s, at(burn_s)),
            Event("apogee", apogee_s, apogee_m),
            Event("main deploys", deploy_s, opens_m),
            Event("landing", land_s, 0.0),
        ),
    )


def figures(apogee: Amount, guide_mps: float, guide_standing: Standing) -> tuple[Figure, ...]:
    return (
        Figure("Apogee above the field", apogee, Limit("at_most", length(1500.0)), "clear"),
        Figure(
            "Speed at the end of the guide",
            Amount(guide_mps, "speed", 1.1),
            Limit("at_least", Amount(14.0, "speed")),
            guide_standing,
        ),
        Figure("Thrust to weight", Amount(7.2, "ratio", 0.4), Limit("at_least", Amount(5.0, "ratio")), "clear"),
        Figure(
            "Static margin at the guide's end",
            Amount(1.9, "calibers", 0.3),
            Limit("at_least", Amount(1.0, "calibers")),
            "clear",
        ),
        Figure(
            "Speed when the main opens", Amount(12.0, "speed", 5.0), Limit("at_most", Amount(20.0, "speed")), "clear"
        ),
        Figure("Descent speed", Amount(5.2, "speed", 0.4), Limit("at_most", Amount(6.1, "speed")), "clear"),
        Figure("Landing energy", Amount(2.3, "energy", 0.4)),
        Figure("Greatest speed", Amount(88.0, "speed", 6.0)),
        Figure("Greatest acceleration", Amount(124.0, "acceleration", 15.0)),
        Figure("Best delay", Amount(5.6, "time", 0.5)),
        Figure("Flight time", Amount(84.0, "time", 9.0)),
    )


MODEL_CODE = "NFPA 1122, 2018"
HIGH_POWER_CODE = "NFPA 1127, 2018"


def clear_findings() -> tuple[Finding, ...]:
    rows = (
        ("us-model-mass", "Lift-off mass", Amount(0.209, "mass"), Limit("at_most", Amount(1.5, "mass")), "4.2.1"),
        (
            "us-model-guide",
            "Guide keeps it within 30° of the vertical",
            Amount(0.0, "angle"),
            Limit("at_most", Amount(30.0, "angle")),
            "4.14",
        ),
        (
            "us-model-wind",
            "Surface wind",
            Amount(3.5, "wind_speed"),
            Limit("at_most", Amount(8.94, "wind_speed")),
            "4.15",
        ),
        ("us-model-site", "Smallest side of the site", length(541.0), Limit("at_least", length(152.0)), "4.13"),
        (
            "practice-delay",
            "Delay near its best",
            Amount(0.6, "time"),
            Limit("at_most", Amount(2.0, "time")),
            "common practice",
        ),
    )
    return tuple(
        Finding(rule, says, "clear", "code", measured, limit, clause, MODEL_CODE, "recalled")
        for rule, says, measured, limit, clause in rows
    )


SLOW = Finding(
    "practice-guide-speed",
    "It leaves the guide slowly for this wind",
    "caution",
    "practice",
    Amount(13.9, "speed", 1.1),
    Limit("at_least", Amount(14.0, "speed")),
    "four times the surface wind",
    "common practice",
    "recalled",
    ("a guide of at least ", length(1.5)),
)
OVER = Finding(
    "ceiling",
    "It may pass the day's ceiling",
    "stop",
    "law",
    length(1620.0, 90.0),
    Limit("at_most", length(1500.0)),
    "14 CFR 101.25",
    "74 FR 38092, 2009-07-31",
    "read",
    "the J-class motor two steps down",
)
OUTSIDE = Finding(
    "inside-field",
    "Share of flights that come down outside the field",
    "stop",
    "club",
    Amount(0.14, "chance"),
    Limit("at_most", Amount(0.05, "chance")),
    "policy of the day",
    "2027-05-15",
    "read",
    ("tilt 4° toward 235°, or a main at ", length(150.0)),
)
STABILITY = Finding(
    "static-margin",
    "Static margin at the guide's end",
    "unknown",
    "code",
    Amount(None, "calibers", why_unknown="no airframe was given"),
    Limit("at_least", Amount(1.0, "calibers")),
    "4.3",
    MODEL_CODE,
    "recalled",
    "give nose, body and fins, or a measured centre of pressure",
)

RISKS = (
    ModeRisk("planned", 0.95, "club default", 0.0004, 1.1e-9, 6.4e-8),
    ModeRisk("no_deployment", 0.03, "club default", 0.0021, 3.0e-8, 1.8e-6),
    ModeRisk("drogue_only", 0.01, "club default", None, None, None),
    ModeRisk("main_at_apogee", 0.01, "club default", 0.0, 0.0, 0.0),
)
TICKS = (
    Tick("Motor casing and retention looked at"),
    Tick("Recovery packed, wadding or shield in place"),
    Tick("Certification seen for this class", "NFPA 1127, 2018, 5.2"),
)


def settings(pad: str, delay: str) -> PadSettings:
    return PadSettings(pad, "rod", 1.2, 0.0, 0.0, delay)


REED = EntryPage(
    entry_id="e-07",
    rocket="Reed 41",
    flyer="Flyer 07",
    motor="Lantern D9-5",
    pad="A1",
    standing="caution",
    decides=(
        "leaves the guide at ",
        Amount(13.9, "speed", 1.1),
        ", ",
        Limit("at_least", Amount(14.0, "speed")),
        " in this wind",
    ),
    apogee=length(412.37, 32.1),
    assessment_id="sha256:5d0c1f7a9be2",
    footprints=(
        planned(150, 60, 105, 52, 55, 0.972, NearestEdge(143.0, 62.0, (255, 135), (412, 185))),
        ballistic(-60, -75, 70, 34, 230),
        Footprint("main_at_apogee", chance_inside=0.972, samples=1024),
    ),
    figures=figures(length(412.37, 32.1), 13.9, "caution"),
    findings=(*clear_findings(), SLOW),
    flight=flight(412.0, 7.4, 2.0, 5.2, 8.2),
    pad_settings=settings("A1", "5 s, as sold"),
    risks=RISKS,
    ticks=TICKS,
    cautions=(
        (
            "It leaves the guide at ",
            Amount(13.9, "speed", 1.1),
            "; gusts of ",
            Amount(5.0, "wind_speed"),
            " would turn it further into the wind.",
        ),
    ),
)
HERON = EntryPage(
    entry_id="e-11",
    rocket="Grey Heron",
    flyer="Flyer 11",
    motor="Kiln J245-14",
    pad="C1",
    standing="stop",
    decides=("may pass the ceiling of ", length(1500.0), " and lands outside in 14 of 100 flights"),
    apogee=length(1620.0, 90.0),
    assessment_id="sha256:81aa02b6c4d9",
    footprints=(
        planned(330, 215, 165, 80, 58, 0.86, NearestEdge(-85.0, 58.0, (500, 320), (420, 210))),
        ballistic(-70, -60, 210, 120, 235),
    ),
    figures=(
        *figures(length(1620.0, 90.0), 21.0, "clear")[1:],
        Figure("Apogee above the field", length(1620.0, 90.0), Limit("at_most", length(1500.0)), "stop"),
    ),
    findings=(*clear_findings(), OVER, OUTSIDE),
    flight=flight(1620.0, 17.6, 3.1, 9.4, 18.0),
    pad_settings=PadSettings(
        "C1", "rail", 2.4, 3.0, 235.0, "14 s, as sold", (("main set to open at ", length(150.0)),)
    ),
    risks=RISKS,
    ticks=TICKS,
    cautions=(
        ("The highest tenth of its flights pass ", length(1700.0), "."),
        "The wind above the pads is from a forecast, not measured.",
    ),
)
WREN = EntryPage(
    entry_id="e-02",
    rocket="Wren",
    flyer="Flyer 02",
    motor="Lantern A3-4",
    pad="A2",
    standing="clear",
    decides="nothing stands against it",
    apogee=length(96.0, 9.0),
    assessment_id="sha256:0b7e55d1aa30",
    footprints=(
        planned(10, 5, 38, 20, 40, 1.0, NearestEdge(208.0, 180.0, (0, -60), (0, -280))),
        ballistic(-40, -62, 22, 12, 220),
    ),
    figures=figures(length(96.0, 9.0), 15.6, "clear"),
    findings=clear_findings(),
    flight=flight(96.0, 4.1, 0.9, 3.6, 4.9),
    pad_settings=settings("A2", "4 s, as sold"),
    risks=RISKS,
    ticks=TICKS,
)
PLOVER = EntryPage(
    entry_id="e-15",
    rocket="Plover",
    flyer="Flyer 15",
    motor="Kiln G64-7",
    pad="B1",
    standing="unknown",
    decides="static margin is not known: no airframe was given",
    apogee=Amount(None, "length", why_unknown="no airframe was given"),
    assessment_id="sha256:c2f90e3317ab",
    footprints=(Footprint("planned", why_unknown="the flight could not be flown: no airframe was given"),),
    figures=(
        Figure(
            "Apogee above the field",
            Amount(None, "length", why_unknown="not flown"),
            Limit("at_most", length(1500.0)),
            "unknown",
        ),
        Figure("Thrust to weight", Amount(9.0, "ratio", 0.6), Limit("at_least", Amount(5.0, "ratio")), "clear"),
    ),
    findings=(*clear_findings(), STABILITY),
    why_no_flight="no airframe was given",
    unknowns=("Centre of pressure: no airframe was given.", "Landing place: the flight was not flown."),
    pad_settings=settings("B1", "7 s, as sold"),
    ticks=TICKS,
)

SHEET = RangeSheet(
    day="Heron Meadow spring launch",
    date=dt.date(2027, 5, 15),
    timezone="America/Chicago",
    field=FIELD,
    elevation_m=310.0,
    conditions=CONDITIONS,
    ceiling=Ceiling(1500.0, 1810.0, "agl", "granted 09:00 to 17:00"),
    entries=(WREN, REED, HERON, PLOVER),
    document_hash="sha256:9f3c77e0a1b4",
    engine_version="0.1.0",
    code_editions=(MODEL_CODE, HIGH_POWER_CODE, "14 CFR 101 subpart C, 74 FR 38092", "common practice, 2027-01"),
    made_at=NOW,
    ticks=(
        Tick(
            "Fire watch named, water and beaters at the pads",
            "NFPA 1127, 2018",
            "Safety officer 1",
            dt.datetime(2027, 5, 15, 8, 40, tzinfo=ZONE),
        ),
        Tick(
            "Ground around the pads cleared of dry grass",
            "NFPA 1122, 2018",
            "Safety officer 1",
            dt.datetime(2027, 5, 15, 8, 45, tzinfo=ZONE),
        ),
        Tick("No smoking within the pad area", "NFPA 1127, 2018"),
        Tick("Sky clear of aircraft, watch named", "14 CFR 101.25"),
    ),
    cautions=(
        "Winds above the pads are from a forecast made at 06:00.",
        ("Gusts reach ", Amount(5.0, "wind_speed"), " at the pads."),
    ),
    local_rules=(("Stricter than the code: no flight above ", length(1500.0), " whatever the waiver says."),),
    error_sources=(
        ErrorSource("thrust", "5 %", "NFPA 1125, as recalled"),
        ErrorSource("mass", "2 %", "common practice"),
        ErrorSource("drag", "10 %", "common practice"),
        ErrorSource("guide tilt", "1°", "common practice"),
        ErrorSource("wind speed", "20 %", "common practice"),
        ErrorSource("wind direction", "15°", "common practice"),
        ErrorSource("delay", "1.5 s or 20 %", "NFPA 1125, as recalled"),
        ErrorSource("canopy drag", "10 %", "Knacke 1991, as recalled"),
    ),
    risk_assumptions=(
        "People stand evenly spread over their zone and in the open; nobody steps aside.",
        (
            "Struck area ",
            Amount(0.6, "area"),
            " a person. Yardstick: 14 CFR 450.101, individual 1 in a million, collective 100 in a million a launch.",
        ),
    ),
)
