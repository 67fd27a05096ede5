"""The officer's list: every entry with what it needs, those that need a human eye first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.models.day import LaunchDay
from service.models.policy import Policy
from service.store.desk import Desk, DeskLine
from service.store.rulings import Ruling
from service.web.briefs import Brief
from service.web.needs import Needs, Ticks, needs_of
from service.web.reader import Age
from service.web.words import motor_words

STANDINGS = (("stop", "stop"), ("unknown", "unknown"), ("caution", "caution"), ("clear", "clear"))
RULINGS = (
    ("none", "not ruled on"),
    ("lapsed", "lapsed"),
    ("held", "held"),
    ("approved", "approved"),
    ("refused", "refused"),
    ("flown", "flown"),
)
_RANKS = {"stop": 2, "unknown": 3, "caution": 4, "clear": 5}
_RULED = {"held": 6, "approved": 7, "refused": 8}
FLOWN_RANK = 9


@dataclass(frozen=True)
class Line:
    """One entry on the desk. `standing` is empty while no current assessment is there."""

    entry_id: str
    rocket: str
    flyer: str
    motor: str
    pad: str
    standing: str
    ruling: Ruling | None
    brief: Brief | None
    needs: Needs | None
    failed: str
    flown: bool
    rank: int
    why: str
    loud: bool

    @property
    def state(self) -> str:
        """The word that the ruling filter goes by."""
        return "flown" if self.flown else self.ruling.state if self.ruling else "none"

    @property
    def waits(self) -> bool:
        """Whether it is approved and waits for nothing but a new reading."""
        return self.state == "approved" and self.rank == _RULED["approved"]

    @property
    def text(self) -> str:
        """What a search looks through, in lower case."""
        return " ".join((self.entry_id, self.rocket, self.flyer, self.motor, self.pad)).lower()


@dataclass(frozen=True)
class Wanted:
    """What a reader has narrowed the list to. Empty texts narrow nothing."""

    standing: str = ""
    ruling: str = ""
    pad: str = ""
    flyer: str = ""
    text: str = ""

    @property
    def anything(self) -> bool:
        """Whether the list is narrowed at all."""
        return any((self.standing, self.ruling, self.pad, self.flyer, self.text))

    def takes(self, line: Line) -> bool:
        """Whether a line is wanted. Every word of the search must be found."""
        return (
            self.standing in ("", line.standing)
            and self.ruling in ("", line.state)
            and self.pad in ("", line.pad)
            and self.flyer in ("", line.flyer)
            and all(word in line.text for word in self.text.lower().split())
        )


def lines_of(
    desk: Desk,
    day: LaunchDay,
    found: Mapping[str, Brief],
    ticks: Ticks,
    age: Age,
    failures: Mapping[str, str],
    flown: set[str],
) -> list[Line]:
    """Every entry, those that need attention first, then in the order of registering."""
    made = [_line(each, day, found, ticks, age, failures, flown) for each in desk.lines]
    return sorted(made, key=lambda line: line.rank)


def _line(
    line: DeskLine,
    day: LaunchDay,
    found: Mapping[str, Brief],
    ticks: Ticks,
    age: Age,
    failures: Mapping[str, str],
    flown: set[str],
) -> Line:
    entry, ruling = line.record.entry, line.ruling
    fresh = line.assessed is not None and line.assessed.fresh
    brief = found.get(line.assessed.assessment_id) if line.assessed and fresh else None
    policy: Policy = day.policy
    needs = needs_of(brief, entry.id, ticks, policy, age) if brief else None
    failed = "" if fresh else failures.get(entry.id, "")
    rank, why, loud = _attention(brief, needs, ruling, failed, entry.id in flown, age)
    return Line(
        entry.id,
        entry.rocket.name,
        entry.flyer.name,
        motor_words(day, entry),
        entry.pad,
        brief.standing if brief else "",
        ruling,
        brief,
        needs,
        failed,
        entry.id in flown,
        rank,
        why,
        loud,
    )


def _attention(
    brief: Brief | None, needs: Needs | None, ruling: Ruling | None, failed: str, flown: bool, age: Age
) -> tuple[int, str, bool]:
    """Rank, why it needs a person, and whether that is to be said loudly."""
    if flown:
        return FLOWN_RANK, "It has had its flight: see the flight log.", False
    if failed:
        return 0, "The service failed to assess it: nothing is known about it.", True
    if ruling is not None and ruling.state == "lapsed":
        return 0, f"Its ruling has lapsed (it was {ruling.verdict.word}): rule again.", True
    if brief is None or needs is None:
        return 1, "Being assessed in the current conditions.", False
    if ruling is not None:
        if ruling.state == "approved" and needs.unticked:
            return 0, "Approved, but an item of its checklist was taken back since.", True
        if ruling.state == "approved" and needs.stale:
            return _RULED["approved"], f"Approved, but the conditions are {age.words}: no flight goes on them.", True
        return _RULED[ruling.state], ruling.verdict.reason or "", False
    return _RANKS[brief.standing], "" if brief.standing == "clear" else brief.decides, False


def still_needed(needs: Needs | None) -> str:
    """What an approval still takes, in a sentence."""
    if needs is None:
        return ""
    if needs.law:
        return "Cannot be approved: a stop of law."
    if needs.policy:
        return "Cannot be approved by this day's policy."
    parts = []
    if needs.reasoned:
        parts.append("a reason")
    if needs.cautions:
        parts.append(f"initials on {len(needs.cautions)}")
    if needs.unticked_entry:
        parts.append(f"{len(needs.unticked_entry)} to check in")
    if needs.unticked_day:
        parts.append(f"{len(needs.unticked_day)} of the day")
    return f"Takes {', '.join(parts)}." if parts else "Nothing is lacking."
