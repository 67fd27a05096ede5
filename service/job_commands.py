"""The commands that advise: a motor and a change for one entry, a setting of its guide, an order for the day."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from service.console import OUT, Number, Refusal, folder_type, long_work, ready_files, ready_folder, tell_and_keep
from service.documents import day_argument, entry_of, moment, progress, read_document
from service.planning.day_plan.pace import FLIGHT_MIN, GAP_MIN, REST_MIN, STRONGER_MPS, Figure

units_option = click.option(
    "--units", type=click.Choice(["si", "us"]), default="si", show_default=True, help="Units of the picture."
)


@click.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry to advise on.")
@click.option("--effect", help="Look for a motor with this effect, such as white smoke.")
@click.option("--altitude-m", type=Number(1.0, 50_000.0), help="The altitude aimed for, above the field. [m]")
@click.option("--adapters/--no-adapters", default=True,
              help="Whether a motor thinner than the mount may be used, in an adapter.")  # fmt: skip
@click.option("--reloads/--no-reloads", default=None,
              help="Whether reloads may be used; left out, not by a beginner.")  # fmt: skip
@click.option("--no-fixes", is_flag=True, help="Only the motor ladder: faster.")
@click.option(*OUT, type=folder_type, help="Folder for advice-ID.json and the motors as a picture, motors-ID.svg.")
@units_option
def advise(
    day: Path, entry_id: str, effect: str | None, altitude_m: float | None, adapters: bool, reloads: bool | None,
    no_fixes: bool, out: Path | None, units: Any,
) -> None:  # fmt: skip
    """Fly every motor on offer; find what clears each finding.

    The motors are flown in one entry's rocket, in the day's conditions. For each finding that is not clear the smallest
    single change that would clear it is sought, then pairs of changes; what was found is then flown together. With
    --out all of it is kept as JSON, and the motors in order of apogee as a picture.
    """
    from service.models.advice_answer import AdviceAnswer
    from service.planning.advise.aims import picks
    from service.planning.advise.files import advice_files, advice_names
    from service.planning.advise.fixes import fixes_for
    from service.planning.advise.ladder import motor_ladder
    from service.planning.advise.text import advise_lines
    from service.planning.assess import assess_entry

    found, entry = _entry(day, entry_id, out)
    if out is not None:
        ready_files(out, advice_names(entry_id), day)
    at, _age = moment(found)
    fixes: tuple[Any, ...] = ()
    of_findings: dict[str, Any] = {}
    with long_work():
        ladder = motor_ladder(found, entry, adapters=adapters, reloads=reloads, at=at, progress=progress("flown"))
        if not no_fixes:
            assessed = assess_entry(found, entry, at=at)
            mended = fixes_for(
                found, entry, assessed, adapters=adapters, reloads=reloads, at=at, progress=progress("tried")
            )  # fmt: skip
            fixes = mended.fixes
            of_findings = {
                "standing": assessed.standing, "assessment": assessed.id, "fixes": fixes, "together": mended.together,
            }  # fmt: skip
    chosen = tuple(picks(ladder, found, effect=effect, altitude_m=altitude_m))
    answer = AdviceAnswer(ladder=ladder, picks=chosen, **of_findings)
    tell_and_keep(advise_lines(ladder, chosen, fixes, answer.together), out, advice_files(answer, units) if out else {})


@click.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry whose guide is to be set.")
@click.option("--at", "place", type=(Number(-180.0, 180.0), Number(-90.0, 90.0)), metavar="LON LAT",
              help="Where to land, in degrees, west and south negative; the pad by default.")  # fmt: skip
@click.option("--open-ground", is_flag=True, help="Land in the middle of the open ground, away from all that is drawn.")
@click.option(*OUT, type=folder_type, help="Folder for aim-ID.json and the field as a picture, aim-ID.svg.")
@units_option
def aim(
    day: Path, entry_id: str, place: tuple[float, float] | None, open_ground: bool, out: Path | None, units: Any
) -> None:
    """Find the setting of the guide that lands nearest a place.

    Sought are a tilt and a bearing within the codes that keep landings off people. [degrees, bearing from true north]
    With --out all of it is kept as JSON, and landing against setting as a picture of the field.
    """
    from service.flight.errors import FlightError
    from service.planning.advise.errors import AdviceError
    from service.planning.aim.aim import aim_entry
    from service.planning.aim.files import aim_files, aim_names
    from service.planning.aim.targets import open_ground as middle_of
    from service.planning.aim.text import aim_lines

    if place is not None and open_ground:
        raise Refusal("--at, --open-ground: found both; expected one place to land")
    found, entry = _entry(day, entry_id, out)
    if out is not None:
        ready_files(out, aim_names(entry_id), day)
    words = ""
    if open_ground:
        middle = middle_of(found)
        if middle is None:
            raise Refusal("--open-ground: zones cover the whole field; there is no open ground to aim for")
        place, words = middle.position, middle.words
    try:
        with long_work():
            aiming = aim_entry(found, entry, target=place, at=moment(found)[0], progress=progress("tried"))
    except (AdviceError, FlightError) as error:
        raise Refusal(f"{entry_id}: {error}") from None
    if words:
        aiming = aiming.model_copy(update={"target_name": words})
    tell_and_keep(aim_lines(aiming), out, aim_files(found, aiming, units) if out else {})


def _pace(name: str, figure: Figure, words: str) -> Any:
    bounds = Number(figure.least, figure.most)
    return click.option(name, type=bounds, default=figure.usual, show_default=True, help=words)


@click.command()
@day_argument
@click.option("--entry", "entry_ids", multiple=True, help="Only this entry; may be given again.")
@_pace("--flight-min", FLIGHT_MIN, "Between two flights from one pad. [min]")
@_pace("--gap-min", GAP_MIN, "Between any two launches. [min]")
@_pace("--rest-min", REST_MIN, "Between two flights of one flyer. [min]")
@_pace("--stronger-mps", STRONGER_MPS, "More wind to look at as well. [m/s]")
@click.option(*OUT, type=folder_type, help="Folder for plan.json and the hours as a picture, plan.svg.")
def plan(
    day: Path, entry_ids: tuple[str, ...], flight_min: float, gap_min: float, rest_min: float, stronger_mps: float,
    out: Path | None,
) -> None:  # fmt: skip
    """Hold every entry against every hour of the forecast.

    An order of flight is proposed, at the pace asked for; on the launch day itself of the hours still to come. With
    --out all of it is kept as JSON, and the hours against the entries as a picture.
    """
    from service.planning.advise.errors import AdviceError
    from service.planning.day_plan.files import JSON, PICTURE, plan_files
    from service.planning.day_plan.hours import ALL_PAST, to_come
    from service.planning.day_plan.plan import plan_day
    from service.planning.day_plan.text import plan_lines

    if out is not None:
        ready_files(out, (JSON, PICTURE), day)
    found, _data = read_document(day)
    for entry_id in entry_ids:
        entry_of(found, entry_id)
    at, _age = moment(found)
    if at is not None and found.forecast:
        found = found.model_copy(update={"forecast": to_come(found.forecast, at)})
        if not found.forecast:
            raise Refusal(ALL_PAST)
    try:
        with long_work():
            planned = plan_day(
                found, entries=entry_ids or None, minutes_per_flight=flight_min, launch_gap_min=gap_min,
                rest_min=rest_min, stronger_by_mps=stronger_mps, progress=progress("flown"),
            )  # fmt: skip
    except AdviceError as error:
        raise Refusal(str(error)) from None
    tell_and_keep(plan_lines(planned), out, plan_files(planned) if out else {})


def _entry(day: Path, entry_id: str, out: Path | None) -> tuple[Any, Any]:
    """The document and one entry of it, once results could be written."""
    if out is not None:
        ready_folder(out)
    found, _data = read_document(day)
    return found, entry_of(found, entry_id)


JOBS = (advise, aim, plan)
