"""The fixes of one entry made together: what the entry comes to, and what they leave."""

from __future__ import annotations

from typing import Literal

from service.models.advice import Change, FixStep
from service.models.assessment import Result
from service.models.entry import Entry
from service.models.field import Pad
from service.models.finding import Standing


class FindingThen(Result):
    """One finding that is not clear now, and how it is with the changes made."""

    rule: str
    statement: str
    before: Standing
    after: Standing
    """Clear too where it is no longer raised; what is measured in flight stands no better than a margin below zero."""
    measured_before: str
    measured_after: str
    why: str
    """Why it stays as it is, a sentence; empty where it is cleared."""


class Together(Result):
    """The fixes that leave least, of up to four combinations that were flown; or one that leaves no more by itself.

    Whatever it says was flown: the standing, the figures, and that no finding stands worse or misses by more than now.
    """

    found: Literal["one", "several"]
    says: str
    """What it comes to, in a sentence or two."""
    fixes: tuple[int, ...]
    """Places, from 1, of the fixes that are made."""
    alone: tuple[int, ...]
    """Places of the fixes that make the whole entry stand clear, each by itself."""
    steps: tuple[FixStep, ...]
    words: str
    notes: tuple[str, ...] = ()
    """What the steps ask for or leave out of the reckoning, a sentence each; figures are those with all changes made.
    """
    changes: tuple[Change, ...]
    entry: Entry
    """The entry as changed."""
    pad: Pad | None
    """The pad as changed; null where it stays as it is."""
    findings: tuple[FindingThen, ...]
    """All that are not clear now, in the order of the assessment."""
    standing_after: Standing
    samples: int
    """Flights of the full assessment that verified it."""
    assessment: str
    """Id of that assessment, on the day as changed."""
    combinations: int
    """How many combinations of fixes were flown in full to find it."""
    pad_shared_with: tuple[str, ...] = ()
    """Other entries on a pad that it sets."""
    people_unknown: str = ""
    """As of a fix."""
