"""An invented report on a field, with everything in it that a page may have to show."""

from __future__ import annotations

import datetime as dt

from reports.amounts import Amount
from reports.ground_data import FieldPlan, PadMark, Zone
from reports.sizing_data import (
    ClassRow,
    CodeRow,
    HourCell,
    Item,
    ItemList,
    MonthRow,
    RosePetal,
    ShareCell,
    SitePlan,
    SizingReport,
)

SQUARE = ((-800.0, -700.0), (900.0, -700.0), (900.0, 800.0), (-800.0, 800.0))
PLAN = FieldPlan(
    "Curlew Flats", (SQUARE,),
    (
        Zone("Benches", "people", (((20.0, -90.0), (80.0, -90.0), (80.0, -60.0), (20.0, -60.0)),), people=30),
        Zone("Mill lane", "road", (((-800.0, -690.0), (900.0, -690.0)),), "line"),
        Zone("Old barn", "building", (((500.0, 500.0), (520.0, 500.0), (520.0, 520.0), (500.0, 520.0)),)),
    ),
    (PadMark("P1", (0.0, 0.0)), PadMark("P2", (60.0, 10.0))),
)  # fmt: skip
SITE = SitePlan(
    pad=(-100.0, 60.0),
    area=(((-180.0, 0.0), (-20.0, 0.0), (-20.0, 140.0), (-180.0, 140.0)),),
    line=((-150.0, -120.0), (-50.0, -120.0), (-50.0, -90.0), (-150.0, -90.0)),
    centre=(30.0, 5.0),
    radius_m=1852.0,
)
WINDS = (0.0, 1.5, 3.0, 4.5, 6.0, 7.5, 9.0)
LETTERS = ("1/2A", "C", "G", "J")


def cell(place: int, number: int) -> ShareCell:
    """Every kind of cell somewhere."""
    if (place, number) == (1, 6):
        return ShareCell(None, None)
    inside = (1.0, 0.9996, 0.984, 0.9, 0.5, 0.004, 0.0)[number]
    bound = ("whole_class", "inside", "none", "unknown")[place]
    return ShareCell(inside, inside >= 0.99, 431.7 if bound in ("whole_class", "inside") else None, bound)


CLASSES = tuple(
    ClassRow(letter, 3 * place + 1, f"rocket {letter} with a name that goes on and on",
             tuple(cell(place, number) for number in range(len(WINDS))), 0.41, None if place == 3 else 0.52)
    for place, letter in enumerate(LETTERS)
)  # fmt: skip
MONTHS = tuple(
    MonthRow(name, tuple(
        None if name == "Oct" and hour == 9 else HourCell(
            0.0 if not 6 <= hour <= 19 else (hour % 7) / 6.0, 1.0 if not 6 <= hour <= 19 else 0.0,
            1.0 if hour == 14 and name == "Apr" else 0.0)
        for hour in range(24)))
    for name in ("Apr", "May", "Oct")
)  # fmt: skip
REPORT = SizingReport(
    day="Curlew autumn launch", date=dt.date(2027, 9, 4), field=PLAN, site=SITE,
    answer=(
        ("Classes", ("up to ", Amount(3.0, "wind_speed"), " of wind for every class up to G.")),
        ("Ceiling", ("Ask for 3,300 ft; it stays under ", Amount(914.4, "length"), ".")),
    ),
    fleet="an invented fleet of four classes", season=("Winds at ", Amount(10.0, "length"), "."),
    rose=tuple(RosePetal(22.5 * number, (number % 5) / 32.0, 3.0 + number / 8.0) for number in range(16)),
    winds_mps=WINDS, winds_share=(0.004, 0.1, 0.2, 0.3, 0.2, 0.1, 0.0),
    wind_height=Amount(10.0, "length"), most_outside=0.01, stop_outside=0.05, classes=CLASSES,
    months=MONTHS, hours_words="400 of 900 hours with light are flyable.", timezone="America/Chicago",
    dimensions=(*(
        CodeRow(letter, rule, "narrowest width of the field", Amount(limit, "length"), printed,
                Amount(1500.0, "length"), met, clause=f"an invented code, {rule}", source="read in a copy",
                in_force=in_force)
        for letter, rule, limit, printed, met, in_force in (
            ("1/2A", "x-site", 15.24, "50 ft", True, True), ("J", "x-site", 1676.4, "5,500 ft", False, True),
            ("J", "y-site", 2000.0, "2,000 m", False, False))
    ), CodeRow("G", "y-site", "narrowest width of the field", None, "case by case", Amount(1500.0, "length"), None,
               clause="an invented code, y-site", source="read in a copy", in_force=False)),
    distances=(
        CodeRow("J", "x-people", "pad to the nearest people", Amount(91.44, "length"), "300 ft",
                Amount(62.0, "length"), False, Amount(95.0, "length"), True, "x-people"),
    ),
    sheet_words="2 of 4 rockets are of Class 2 or 3.",
    lists=(
        ItemList("14 CFR 101.27: the notice", (
            Item("14 CFR 101.27(a)", "name and address", None, "to be filled in by hand"),
            Item("14 CFR 101.27(c)", "radius", "1 NM", "flown for this report"))),
    ),
    sheet_notes=("A notice goes out in time.",), notes=("One thing assumed.", ("Another at ", Amount(10.0, "length"))),
    engine_version="0.0.0+test", code_editions=("Invented code, first edition",), fingerprint="ab" * 32,
)  # fmt: skip
