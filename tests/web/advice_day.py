"""Some entries of the demo day with few flights, and real advice on them, worked out once for the tests of pages."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

from flask import Flask

from service.models.day import LaunchDay
from service.models.together import FindingThen, Together
from service.planning.advise.fixes import fixes_for
from service.planning.advise.ladder import motor_ladder
from service.planning.advise.together_words import NOTHING
from service.planning.aim.aim import aim_entry
from service.planning.day_plan.plan import plan_day
from service.store import Store
from service.web import Config
from service.web.advice.tasks import Fixes
from service.web.passwords import Passwords
from tests.planning.advise.few_flights import FEW, assessed, demo, ground
from tests.web.conftest import CHEAP, PASSWORD, PATIENCE_S, PLENTY, Browser, Clock, quick_assessment, tried

DAY = "winter"
ENTRIES = ("e-01", "e-09", "e-11")  # the first two stand on the same pad
RULES = ("adv-descent-main",)
NOTES = ("Needs an adapter from 18 mm to 24 mm, whose mass is not reckoned.",)
DELAY_S = 6.0  # of e-09's motor and of e-11's, which fly with others


@cache
def few_entries() -> LaunchDay:
    return demo().model_copy(
        update={"entries": tuple(demo().entry_by_id(each) for each in ENTRIES), "forecast": demo().forecast[:2]}
    )


class AdviceClock(Clock):
    """Ten minutes after the demo's reading."""

    def __init__(self) -> None:
        self.now = few_entries().conditions.observed_at


@cache
def real(kind: str, entry_id: str) -> Any:
    """What the work of a kind comes to, by planning itself with few flights."""
    day = few_entries()
    if kind == "plan":
        return plan_day(day, ground=ground(), most_samples=128, threads=1)
    alone, entry = day.model_copy(update={"entries": ()}), day.entry_by_id(entry_id)
    if kind == "ladder":
        return motor_ladder(alone, entry, ground=ground(), **FEW)
    if kind == "aim":
        return aim_entry(alone, entry, ground=ground(), samples=16, most_samples=128, threads=1)
    found = assessed(entry, alone)
    mended = fixes_for(alone, entry, found, rules=RULES, ground=ground(), **FEW)
    return Fixes(entry=entry_id, assessment=found.id, standing=found.standing, fixes=mended.fixes)


def pad_fixes(**changes: Any) -> Fixes:
    """As if e-09 were mended by a longer rod on its pad, which e-01 shares, and by changes of its own."""
    found, entry = real("fixes", "e-11"), few_entries().entry_by_id("e-09").model_copy(update=changes)
    pad = few_entries().pad_by_name("A1").model_copy(update={"guide_length_m": 4.0})
    words = "Bring a rod of 4 m for pad A1, instead of 0.9 m."
    fix = next(each for each in found.fixes if each.found != "none").model_copy(
        update={"entry": entry, "pad": pad, "words": words, "pad_shared_with": ()}
    )
    return found.model_copy(update={"entry": entry.id, "fixes": (fix,)})


def together_of_two(base: Fixes, **changes: Any) -> Fixes:
    """As if a fix were flown with more changes of the entry beside it, and one finding stayed at caution."""
    number, fix = next((n, each) for n, each in enumerate(base.fixes, start=1) if each.found != "none")
    entry = fix.entry.model_copy(update=changes)
    words = f"{fix.words} Take a delay of {DELAY_S:g} s."
    told = {"statement": fix.statement, "measured_before": fix.measured_before, "measured_after": fix.measured_after}
    findings = (
        FindingThen(rule=fix.rule, before=fix.before, after="clear", why="", **told),
        FindingThen(rule="other", before="caution", after="caution", why=NOTHING, **told),
    )
    more = fix.steps[0].model_copy(update={"words": f"Take a delay of {DELAY_S:g} s."})
    whole = Together(
        found="several", says="2 of the changes together clear 1 of 2 findings.", fixes=(number,), alone=(),
        steps=(*fix.steps, more), words=words, notes=NOTES, changes=fix.changes, entry=entry, pad=fix.pad,
        findings=findings, standing_after="caution", samples=4321, assessment="a" * 32, combinations=1,
    )  # fmt: skip
    return base.model_copy(update={"together": whole})


def _answering(answer: Any, kind: str) -> Callable[[Any], Any]:
    return lambda watch: answer or real(kind, "e-11")


@contextmanager
def served(clock: Callable[[], Any], **instead: Any) -> Iterator[tuple[Flask, Store]]:
    """An app whose long work answers at once, for e-11, with those who run the day; `instead` by kind."""
    stand_ins = {kind: _answering(instead.get(kind), kind) for kind in ("ladder", "fixes", "aim", "plan")}
    with Store.in_memory(clock) as store:
        store.import_day(few_entries(), by="setup", day_id=DAY)
        made = Passwords(*CHEAP).hash(PASSWORD)
        store.people.add("olga", "Organiser", made, "setup", roles={"organiser": DAY})
        store.people.add("rita", "RSO", made, "setup", roles={"rso": DAY})
        config = Config(
            rates=PLENTY, background=False, assess=quick_assessment, clock=clock, password_cost=CHEAP, workers=1,
            stand_ins=stand_ins,
        )  # fmt: skip
        with tried(config, store) as app:
            yield app, store


def worked_out(app: Flask, browser: Browser, page: str, **typed: str) -> Any:
    """Press the button of a page and wait; the page as it then is."""
    answer = browser.post(page, typed, page="/about")
    assert answer.status_code == 303, answer.text
    assert app.extensions["jobs"].wait(PATIENCE_S)
    return browser.get(answer.headers["Location"])


def hidden(text: str, name: str) -> str:
    """The value of a hidden field."""
    return text.split(f'name="{name}" value="', 1)[1].split('"', 1)[0]


def words(text: str) -> str:
    """What a page says, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def fields(page, form: str = "/apply") -> dict[str, str]:
    """The hidden fields of the first form that is sent there."""
    text = page.text.split(f'{form}"', 1)[1]
    return {name: hidden(text, name) for name in ("job", "based_on")}
