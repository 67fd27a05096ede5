"""All that advice on one entry comes to: the motors, which serves which aim, what would clear each finding."""

from __future__ import annotations

from service.models.advice import Fix, Ladder, Pick
from service.models.assessment import Result
from service.models.finding import Standing
from service.models.together import Together


class AdviceAnswer(Result):
    """What was found for one entry. What is null of the findings was not asked for."""

    ladder: Ladder
    picks: tuple[Pick, ...]
    standing: Standing | None = None
    """As the entry stands."""
    assessment: str | None = None
    """Id of the assessment whose findings the fixes are for."""
    fixes: tuple[Fix, ...] | None = None
    """One a finding that is not clear, in the order of the findings."""
    together: Together | None = None
    """What the fixes come to together; null for fewer than two findings, or where no fix was found."""
