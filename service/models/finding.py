"""What one check found, and the checklist that people tick."""

from collections.abc import Iterable
from datetime import date
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, FiniteFloat, StrictBool, StringConstraints

Standing = Literal["clear", "caution", "stop", "unknown"]
Weight = Literal["law", "code", "practice", "club"]
Kind = Literal["computed", "measured", "attested"]
Known = Literal["read", "restated", "memory", "practice", "derived"]
Statistic = Literal["nominal", "high", "low", "interval"]
Comparison = Literal["at_least", "at_most", "within", "is", "requires"]
Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]

WORST_FIRST: tuple[Standing, ...] = ("stop", "unknown", "caution", "clear")


class Record(BaseModel):
    """A value that never changes once it is made, and knows no other fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Source(Record):
    """Where a figure is published, and how it came to be known here."""

    clause: Text
    edition: str = ""
    known: Known
    checked_on: date | None = None


class Finding(Record):
    """One measured value held against one limit.

    `measured`, `limit` and `margin` are in `unit`, the unit the source prints; `measured_si` and `limit_si`
    repeat the first two in `si_unit`. `margin` is positive inside the limit. `limit` is None where a rule
    asks for a yes or where the limit could not be worked out.
    """

    rule: str
    code: str
    weight: Weight
    kind: Kind
    protects: str
    statement: str
    quantity: str | None
    measured: StrictBool | FiniteFloat | str | None
    unit: str
    limit: FiniteFloat | None
    comparison: Comparison
    margin: FiniteFloat | None
    standing: Standing
    source: Source
    statistic: Statistic = "nominal"
    note: str = ""
    measured_si: FiniteFloat | None = None
    limit_si: FiniteFloat | None = None
    si_unit: str = ""


class ChecklistItem(Record):
    """Something a person looks at and answers for; it does not colour an entry's standing."""

    rule: str
    code: str
    weight: Weight
    protects: str
    text: str
    per: Literal["day", "entry"]
    source: Source
    by: str | None = None
    at: AwareDatetime | None = None
    note: str = ""

    @property
    def answered(self) -> bool:
        """True once a name and a time stand beside the item."""
        return self.by is not None and self.at is not None


class CodeEdition(Record):
    """One code as it is printed on the sheet: which edition, and whether anyone has checked it."""

    id: str
    title: str
    edition: str
    publisher: str
    known: Known
    checked_on: date | None = None
    covers: tuple[Literal["model", "high_power"], ...] = ()
    note: str = ""

    @property
    def short_title(self) -> str:
        """The title up to what it is read with."""
        return self.title.split(",")[0]


def worst_standing(findings: Iterable[Finding]) -> Standing:
    """The standing of a whole: stop before unknown before caution before clear.

    With nothing checked the answer is `unknown`: an empty list has cleared nothing.
    """
    found = {finding.standing for finding in findings}
    return next((standing for standing in WORST_FIRST if standing in found), "unknown")


