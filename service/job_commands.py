"""The commands that advise: a motor and a change for one entry, a setting of its guide, an order for the day."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from service.console import Refusal, long_work
from service.documents import day_argument, entry_of, moment, progress, read_document


@click.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry to advise on.")
@click.option("--effect", help="Look for a motor with this effect, such as white smoke.")
@click.option("--altitude", "altitude_m", type=click.FloatRange(min=1.0), help="The altitude aimed for. [m]")
@click.option("--adapters/--no-adapters", default=True,
              help="Whether a motor thinner than the mount may be used, in an adapter.")  # fmt: skip
@click.option("--reloads/--no-reloads", default=None,
              help="Whether reloads may be used; left out, not by a beginner.")  # fmt: skip
@click.option("--no-fixes", is_flag=True, help="Only the motor ladder: faster.")
def advise(
    day: Path, entry_id: str, effect: str | None, altitude_m: float | None, adapters: bool, reloads: bool | None,
    no_fixes: bool,
) -> None:  # fmt: skip
    """Fly every motor on offer; find what clears each finding.

    The motors are flown in one entry's rocket, in the day's conditions. For each finding that is not clear the smallest
    single change that would clear it is sought.
    """
    from service.planning.advise.aims import picks
    from service.planning.advise.fixes import fixes_for
    from service.planning.advise.ladder import motor_ladder
    from service.planning.advise.text import advise_lines
    from service.planning.assess import assess_entry

    found, _data = read_document(day)
    entry = entry_of(found, entry_id)
    at, _age = moment(found)
    fixes: list[Any] = []
    with long_work():
        ladder = motor_ladder(found, entry, adapters=adapters, reloads=reloads, at=at, progress=progress("flown"))
        if not no_fixes:
            assessed = assess_entry(found, entry, at=at)
            fixes = fixes_for(
                found, entry, assessed, adapters=adapters, reloads=reloads, at=at, progress=progress("tried")
            )  # fmt: skip
    for line in advise_lines(ladder, picks(ladder, found, effect=effect, altitude_m=altitude_m), fixes):
        click.echo(line)


@click.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry whose guide is to be set.")
@click.option("--at", "place", type=(float, float), metavar="LON LAT",
              help="Where to land, in degrees, west and south negative; the pad by default.")  # fmt: skip
def aim(day: Path, entry_id: str, place: tuple[float, float] | None) -> None:
    """Find the setting of the guide that lands nearest a place.

    Sought are a tilt and a bearing within the codes that keep landings off people. [degrees, bearing from true north]
    """
    from service.flight.errors import FlightError
    from service.planning.advise.errors import AdviceError
    from service.planning.aim.aim import aim_entry
    from service.planning.aim.text import aim_lines

    found, _data = read_document(day)
    entry = entry_of(found, entry_id)
    try:
        with long_work():
            aiming = aim_entry(found, entry, target=place, at=moment(found)[0], progress=progress("tried"))
    except (AdviceError, FlightError) as error:
        raise Refusal(f"{entry_id}: {error}") from None
    for line in aim_lines(aiming):
        click.echo(line)


@click.command()
@day_argument
def plan(day: Path) -> None:
    """Hold every entry against every hour of the forecast.

    An order of flight is proposed.
    """
    from service.planning.advise.errors import AdviceError
    from service.planning.day_plan.plan import plan_day
    from service.planning.day_plan.text import plan_lines

    found, _data = read_document(day)
    try:
        with long_work():
            planned = plan_day(found, progress=progress("flown"))
    except AdviceError as error:
        raise Refusal(str(error)) from None
    for line in plan_lines(planned):
        click.echo(line)


JOBS = (advise, aim, plan)
