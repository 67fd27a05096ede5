"""The long work behind the advice pages, as jobs."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Any

from flask import url_for

from service.models.advice import Fix, Ladder
from service.models.aiming import Aiming
from service.models.assessment import Result
from service.models.day import LaunchDay
from service.models.day_plan import DayPlan
from service.models.finding import Standing
from service.models.together import Together
from service.planning.advise.errors import AdviceError
from service.planning.day_plan.hours import ALL_PAST, to_come
from service.web.advice.options import USUAL, Offered, Pace, Target
from service.web.advice.state import Advised
from service.web.jobs import CannotBeDone, Place, Task, Watch


class Fixes(Result):
    """For each finding that is not clear, the smallest change that clears it; or that nothing tried does."""

    entry: str
    assessment: str
    """Id of the assessment whose findings these are."""
    standing: Standing
    fixes: tuple[Fix, ...]
    together: Together | None = None
    """What they come to when made together; null for fewer than two findings, or where no fix was found."""


def ladder_task(asked: Advised, offered: Offered = USUAL) -> Task:
    """The motor ladder of one entry."""

    def work(watch: Watch) -> Ladder:
        from service.planning.advise.ladder import motor_ladder  # compiles the flight model: not before it is needed

        try:
            return motor_ladder(
                asked.day, asked.entry, **asdict(offered), progress=watch, should_stop=watch.stop
            )  # fmt: skip
        except AdviceError as why:
            raise CannotBeDone(str(why)) from None

    place = _place(asked, "advice.show", "api_advice.get_advice", **offered.query)
    return Task("ladder", _key(asked, offered), place, work)


def _key(asked: Advised, offered: Offered) -> Any:
    return [asked.key, offered.query] if offered.query else asked.key


def fixes_task(asked: Advised, offered: Offered = USUAL) -> Task:
    """What would clear each finding of one entry."""

    def work(watch: Watch) -> Fixes:
        from service.planning.advise.fixes import fixes_for
        from service.planning.assess import assess_entry

        found = assess_entry(asked.day, asked.entry)
        says = {each.rule: each.statement for each in found.findings}

        def told(done: int, total: int, words: str) -> None:
            rule, _, trials = words.partition(", ")
            watch(done, total, f"{says.get(rule, rule).rstrip('.')}{f' ({trials})' if trials else ''}")

        try:
            mended = fixes_for(
                asked.day, asked.entry, found, **asdict(offered), progress=told, should_stop=watch.stop
            )  # fmt: skip
        except AdviceError as why:
            raise CannotBeDone(str(why)) from None
        return Fixes(entry=asked.entry.id, assessment=found.id, standing=found.standing, fixes=mended.fixes,
                     together=mended.together)  # fmt: skip

    place = _place(asked, "advice.show", "api_advice.get_fixes", **offered.query)
    return Task("fixes", _key(asked, offered), place, work)


def aim_task(asked: Advised, target: Target) -> Task:
    """The setting of the guide for one entry."""

    def work(watch: Watch) -> Aiming:
        from service.planning.aim.aim import aim_entry
        from service.planning.aim.targets import open_ground

        position, words = target.position, target.words
        if target.kind == "open":
            middle = open_ground(asked.day)
            if middle is None:
                raise CannotBeDone("zones cover the whole field: there is no open ground to aim for")
            position, words = middle.position, middle.words
        try:
            aiming = aim_entry(asked.day, asked.entry, target=position, progress=watch, should_stop=watch.stop)
        except AdviceError as why:
            raise CannotBeDone(str(why)) from None
        return aiming.model_copy(update={"target_name": words}) if words else aiming

    return Task("aim", [asked.key, target.query], _place(asked, "aim.show", "api_aim.get_aim", **target.query), work)


def plan_task(day_id: str, day: LaunchDay, flown: frozenset[str], pace: Pace, now: datetime) -> Task:
    """A plan of the hours that are still to come, for the entries that have not flown."""
    left = to_come(day.forecast, now)
    entries = tuple(each.id for each in day.entries if each.id not in flown)
    planned = day.model_copy(update={"forecast": left})

    def work(watch: Watch) -> DayPlan:
        from service.planning.day_plan.plan import plan_day

        if day.forecast and not left:
            raise CannotBeDone(ALL_PAST)
        try:
            return plan_day(
                planned, entries=entries, minutes_per_flight=pace.flight_min, launch_gap_min=pace.gap_min,
                rest_min=pace.rest_min, stronger_by_mps=pace.stronger_mps, progress=watch, should_stop=watch.stop,
            )  # fmt: skip
        except AdviceError as why:
            raise CannotBeDone(str(why)) from None

    key = {
        "day": planned.model_dump(mode="json", by_alias=True, exclude={"conditions": True, "motors": _NOT_FLOWN}),
        "entries": entries,
        "pace": asdict(pace),
    }
    where: dict[str, Any] = {"day_id": day_id, **pace.query}
    place = Place(day_id, url_for("day_plan.show", **where), url_for("api_day_plan.get_plan", **where))
    return Task("plan", key, place, work)


_NOT_FLOWN = {"__all__": {"price", "stock"}}  # of a motor: bears on no flight


def _place(asked: Advised, page: str, result: str, **query: str) -> Place:
    where: dict[str, Any] = {"day_id": asked.day_id, "entry_id": asked.entry.id, **query}
    return Place(asked.day_id, url_for(page, **where), url_for(result, **where), asked.entry.id)
