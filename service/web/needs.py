"""What an approval still needs, in words: said before the button is pressed, and again when it was pressed too early.

The store refuses an approval that lacks any of this, whatever a page says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.models.entry import Attestation
from service.models.finding import ChecklistItem, Finding
from service.models.policy import Policy
from service.planning.misfire import longer_than_said
from service.web.briefs import Brief
from service.web.reader import Age
from service.web.ruling import FORBIDDEN_BY_POLICY

Ticks = Mapping[str, Mapping[str, Attestation]]


@dataclass(frozen=True)
class Item:
    """One line of a checklist, and who ticked it; `own` for a tick that the desk may take back."""

    rule: str
    text: str
    per: str
    by: str
    at: str
    note: str
    source: str
    own: bool
    beyond: str = ""
    """What this day asks beyond what it says, a sentence."""

    @property
    def ticked(self) -> bool:
        """Whether somebody answers for it."""
        return bool(self.by)


@dataclass(frozen=True)
class Needs:
    """What stands between an entry and its approval."""

    law: tuple[Finding, ...]
    """Stops of law: nothing helps."""
    policy: tuple[Finding, ...]
    """Stops that this day's policy allows nobody to go over."""
    reasoned: tuple[Finding, ...]
    """Findings at stop or unknown that an approval goes over with a reason."""
    cautions: tuple[Finding, ...]
    """Each needs initials."""
    entry_items: tuple[Item, ...]
    day_items: tuple[Item, ...]
    stale: str
    """Why the conditions are no ground to approve on; empty when they are."""

    @property
    def possible(self) -> bool:
        """Whether an approval can be had at all, as things stand."""
        return not (self.law or self.policy or self.stale)

    @property
    def unticked_day(self) -> tuple[Item, ...]:
        """Items of the day that nobody has ticked yet."""
        return tuple(each for each in self.day_items if not each.ticked)

    @property
    def unticked_entry(self) -> tuple[Item, ...]:
        """Items of the entry that nobody has ticked yet."""
        return tuple(each for each in self.entry_items if not each.ticked)

    @property
    def unticked(self) -> int:
        """How many items nobody has ticked yet. [count]"""
        return len(self.unticked_day) + len(self.unticked_entry)


def needs_of(brief: Brief, entry_id: str, ticks: Ticks, policy: Policy, age: Age) -> Needs:
    """What an approval of this assessment needs."""
    stops = brief.at("stop")
    law = tuple(each for each in stops if each.weight == "law")
    forbidden = () if policy.approve_over_code else FORBIDDEN_BY_POLICY
    barred = tuple(each for each in stops if each.weight in forbidden)
    reasoned = tuple(each for each in stops if each not in law and each not in barred) + brief.at("unknown")
    items = items_of(brief.checklist, entry_id, ticks, policy)
    stale = f"The conditions are {age.words}; rulings wait for a new reading." if age.stale else ""
    return Needs(
        law,
        barred,
        reasoned,
        brief.at("caution"),
        tuple(each for each in items if each.per == "entry"),
        tuple(each for each in items if each.per == "day"),
        stale,
    )


def items_of(checklist: tuple[ChecklistItem, ...], entry_id: str, ticks: Ticks, policy: Policy) -> list[Item]:
    """The lines of a checklist with the ticks that stand now, and what the day asks beyond them."""
    return [_item(each, entry_id, ticks, policy) for each in checklist]


def _item(item: ChecklistItem, entry_id: str, ticks: Ticks, policy: Policy) -> Item:
    given = ticks.get("", {}).get(item.rule) or ticks.get(entry_id, {}).get(item.rule)
    by, at, own = "", "", False
    if given is not None:
        by, at, own = given.by, given.at.isoformat(), True
    elif item.answered:
        by, at = item.by or "", item.at.isoformat() if item.at else ""
    beyond = longer_than_said(policy, item.rule)
    return Item(item.rule, item.text, item.per, by, at, item.note, item.source.clause, own, beyond)
