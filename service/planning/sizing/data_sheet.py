"""The items that 14 CFR 101.27 and 101.29 ask for, filled from the launch day; what it does not hold stands open.

The lists are those of the regulation, in our own words (read in several copies, a print of 2019 to mirrors of 2026).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.models.day import LaunchDay
from service.models.recovery import Recovery
from service.models.sizing import AffectedGround, CeilingAsk
from service.models.sizing_sheet import DataItem, DataSheet, RocketType
from service.planning.sizing.ceiling import up_to_hundreds_ft
from service.planning.sizing.fleet import Fleet, FleetRocket, rocket_facts
from service.planning.sizing.sheet_answers import (
    Flown,
    commit_words,
    events_words,
    forecast_words,
    hours_words,
    local_words,
    range_words,
    stability_words,
)

BY_HAND = "to be filled in by hand"
DOCUMENT = "as entered for this launch day"
COMPUTED = "flown for this report"
WINDOW = "the windows of the ceilings entered for this day"
PROPELLANT = {"black_powder": "solid, black powder", "composite": "solid, composite", "hybrid": "hybrid"}
NOTES = (
    "A notice goes to the nearest FAA air traffic control facility at least 24 hours and at most three days ahead "
    "(14 CFR 101.27).",
    "What a certificate of waiver or authorization needs goes to the FAA at least 45 days ahead (14 CFR 101.29; its "
    "opening sentence was cut off in the copies read). The FAA may ask for more.",
    "The regulation's own text and the facility come first.",
)


NO_FLIGHTS = Flown()


def data_sheet(
    day: LaunchDay, fleet: Fleet, tops_m: Sequence[float | None], ceiling: CeilingAsk, affected: AffectedGround,
    flown: Flown = NO_FLIGHTS,
) -> DataSheet:  # fmt: skip
    """Every item, answered or open. Class 1 rockets need neither notice nor certificate.

    `tops_m` is the upper apogee of each rocket of the fleet over the season; None: not known. `flown` are its flights.
    """
    classes = {number: rocket_facts(day, rocket)["faa_class"] for number, rocket in enumerate(fleet.rockets)}
    larger = [fleet.rockets[number] for number, faa in classes.items() if faa in (2, 3)]
    if larger:
        needed = True
        which = f"{len(larger)} of {len(fleet.rockets)} rockets are of Class 2 or 3"
        words = f"{which} (14 CFR 101.22): a notice is needed."
    elif None in classes.values():
        needed, words = None, "Whether a notice is needed is not known: the class of some rockets is not known."
    else:
        needed = False
        words = (
            "Every rocket is small enough for Class 1, which needs no notice (14 CFR 101.21 to 101.23); materials "
            "and propellant are for a person to attest."
        )
    types = []
    for faa in (2, 3):
        kinds = [rocket for number, rocket in enumerate(fleet.rockets) if classes[number] == faa]
        for letter in fleet.letters:
            here = [rocket for rocket in kinds if rocket.letter == letter]
            if here:
                heights = [top for rocket, top in zip(fleet.rockets, tops_m, strict=True) if rocket in here]
                items = [*_class_2(day, here, heights), *(_class_3(day, here, affected, flown) if faa == 3 else ())]
                types.append(RocketType(name=f"class {letter} motors", faa_class=faa, items=tuple(items)))
    return DataSheet(
        needed=needed, needed_words=words, notice=tuple(_notice(day, ceiling, affected)), types=tuple(types),
        notes=NOTES,
    )  # fmt: skip


def _item(clause: str, asks: str, answer: str | None, basis: str = DOCUMENT, hint: str = "") -> DataItem:
    """`hint` is what may help whoever fills in an open one."""
    by_hand = f"{BY_HAND}; {hint}" if hint else BY_HAND
    return DataItem(clause=f"14 CFR {clause}", asks=asks, answer=answer, basis=by_hand if answer is None else basis)


def _notice(day: LaunchDay, ceiling: CeilingAsk, affected: AffectedGround) -> Iterator[DataItem]:
    lon_deg, lat_deg = affected.centre
    height = None
    if ceiling.agl_ft is not None and ceiling.msl_ft is not None:
        height = f"{ceiling.agl_ft:,.0f} ft above the field, {ceiling.msl_ft:,.0f} ft above sea level"
    yield _item("101.27(a)", "name and address of the operator, or of the event's launch coordinator", None)
    yield _item("101.27(b)", "date of the activity", day.date.isoformat())
    begins, lasts = hours_words(day)
    yield _item("101.27(b)", "time it begins", begins, WINDOW, forecast_words(day))
    radius = None if affected.radius_nmi is None else f"{affected.radius_nmi:g} NM"
    yield _item("101.27(c)", "radius of the affected ground, in nautical miles", radius, COMPUTED)
    yield _item(
        "101.27(d)", "centre of the affected ground, latitude and longitude",
        f"{_degrees(lat_deg, 'N', 'S')}, {_degrees(lon_deg, 'E', 'W')} (the pads as they stand)",
    )  # fmt: skip
    yield _item("101.27(e)", "highest affected altitude", height, COMPUTED)
    yield _item("101.27(f)", "duration of the activity", lasts, WINDOW, forecast_words(day))
    yield _item("101.27(g)", "whatever else the facility asks for", None)


def _class_2(day: LaunchDay, rockets: list[FleetRocket], tops_m: list[float | None]) -> Iterator[DataItem]:
    lon_deg, lat_deg = day.field.pads[0].position
    count = sum(each.count for each in rockets)
    yield _item("101.29(a)(1)", "estimated number of rockets", f"{count}")
    motors = dict.fromkeys(f"{each.motor.designation}: {PROPELLANT[each.motor.propellant]}" for each in rockets)
    yield _item("101.29(a)(2)", "type of propulsion", "; ".join(motors))
    yield _item("101.29(a)(2)", "fuel and oxidizer", _oxidizer(rockets), "common knowledge of black powder")
    pads = dict.fromkeys(
        f"{pad.guide} of {pad.guide_length_m:g} m on pad {pad.name}" for pad in day.field.pads
        if any(each.entry.pad == pad.name for each in rockets)
    )  # fmt: skip
    yield _item("101.29(a)(3)", "launchers, airborne platforms included", "; ".join(pads) + "; none airborne")
    recoveries = dict.fromkeys(_recovery(each.entry.recovery) for each in rockets)
    yield _item("101.29(a)(4)", "recovery system", "; or ".join(recoveries))
    yield _item("101.29(a)(5)", "highest altitude expected above the ground", _highest(tops_m), COMPUTED)
    yield _item(
        "101.29(a)(6)", "latitude, longitude and elevation of the site",
        f"{_degrees(lat_deg, 'N', 'S')}, {_degrees(lon_deg, 'E', 'W')}; {day.field.elevation_m:,.0f} m "
        f"({day.field.elevation_m / 0.3048:,.0f} ft) above sea level",
    )  # fmt: skip
    local = local_words(day, rockets)
    yield _item("101.29(a)(7)", "safety procedures beyond the rules", local, "the local rules entered for this field")


def _class_3(
    day: LaunchDay, rockets: list[FleetRocket], affected: AffectedGround, flown: Flown
) -> Iterator[DataItem]:  # fmt: skip
    reach = None
    if affected.radius_m is not None:
        reach = f"{affected.radius_m:,.0f} m from the pads hold {100.0 * affected.share:.1f} of 100 landings"
    yield _item("101.29(b)(2)", "maximum possible range", range_words(rockets, flown), COMPUTED)
    stability = stability_words(day, rockets, flown)
    yield _item("101.29(b)(3)", "dynamic stability over the whole flight", stability,
                f"{COMPUTED}; after thrust ends, and how fast it is damped, {BY_HAND}")  # fmt: skip
    yield _item("101.29(b)(4)", "description of all major systems", None)
    yield _item("101.29(b)(5)", "support equipment", None)
    yield _item("101.29(b)(6)", "flight profile and sequence of events", events_words(day, rockets, flown),
                f"{COMPUTED}, the nominal flight in the least wind")  # fmt: skip
    yield _item("101.29(b)(7)", "nominal impact areas within three standard deviations", reach, COMPUTED)
    yield _item("101.29(b)(8)", "launch commit criteria", commit_words(day, rockets),
                "the rules in force for this field; whatever else is asked for is to be added by hand")  # fmt: skip
    yield _item("101.29(b)(9)", "countdown procedures", None)
    yield _item("101.29(b)(10)", "mishap procedures", None)


def _oxidizer(rockets: list[FleetRocket]) -> str | None:
    """Known for black powder alone; for the rest the motor's maker has to say."""
    if all(each.motor.propellant == "black_powder" for each in rockets):
        return "charcoal and sulphur with potassium nitrate"
    return None


def _recovery(devices: tuple[Recovery, ...]) -> str:
    return ", then ".join(_device(each) for each in devices)


def _device(each: Recovery) -> str:
    at = each.deploy
    when = ""
    if at is not None:
        when = {"motor_delay": " by the motor's delay", "apogee": " at the apogee"}.get(at.at, "")
        if at.at == "altitude":
            when = f" at {at.altitude_m:g} m"
    size = f" of {each.diameter_m:g} m" if each.diameter_m is not None else ""
    return f"{each.kind.replace('_', ' ')}{size}{when}"


def _highest(tops_m: list[float | None]) -> str | None:
    """The upper apogee in hundreds of feet, rounded up; unknown where any rocket of the type is."""
    known = [top for top in tops_m if top is not None]
    if not known or len(known) < len(tops_m):
        return None
    return f"{up_to_hundreds_ft(max(known)):,.0f} ft above the field (99 of 100 flights of the season stay under it)"


def _degrees(angle: float, positive: str, negative: str) -> str:
    """Degrees, minutes and whole seconds, as notices have them.

    >>> _degrees(46.9159, "N", "S"), _degrees(-97.51, "E", "W")
    ('46°54\\'57"N', '97°30\\'36"W')
    """
    seconds = round(abs(angle) * 3600.0)
    return f"{seconds // 3600}°{seconds // 60 % 60:02d}'{seconds % 60:02d}\"{positive if angle >= 0.0 else negative}"
