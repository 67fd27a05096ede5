"""What a flight log teaches: estimate against measurement, and corrections that the organiser may accept.

Ratios are measured over estimated. `along` is down the mean wind up to the apogee, `across` to the right of that.
"""

from __future__ import annotations

from typing import Literal

from pydantic import FiniteFloat

from service.models.assessment import Result
from service.models.finding import Standing
from service.models.flight_log import Happened


class Between(Result):
    """A figure with its two-sided 95 % interval; null where too few flights say."""

    estimate: FiniteFloat
    low: FiniteFloat | None = None
    high: FiniteFloat | None = None


class Scatter(Result):
    """How far flights scatter, held against what the dispersion predicts, by chi-square."""

    measured: Between
    """One standard deviation, over the flights' own bias: the predicted one times root of chi-square over freedom."""
    predicted: FiniteFloat
    """One standard deviation, root of the mean square over the flights."""
    chi_square: FiniteFloat
    freedom: int
    by_chance_low: FiniteFloat
    by_chance_high: FiniteFloat
    """Chi-square lies between these in 95 of 100 cases where the prediction holds."""
    differs: bool


class ComparedFlight(Result):
    """One flight of the log beside its estimate."""

    label: str
    day: str
    entry: str
    rocket: str
    flown_at: str
    happened: Happened
    measured_m: FiniteFloat | None
    """Measured apogee."""
    estimated_m: FiniteFloat | None
    """Apogee as estimated now, in the weather it flew in and with the corrections in force."""
    recorded_m: FiniteFloat | None
    """Apogee as estimated at the time, where that was kept."""
    spread: FiniteFloat | None
    """Predicted spread of the apogee from flight to flight, one standard deviation. [fraction]"""
    apogee_why_not: str
    """Why its apogee does not count; empty where it does."""
    along_m: FiniteFloat | None
    across_m: FiniteFloat | None
    """Measured less estimated landing point."""
    along_spread_m: FiniteFloat | None
    across_spread_m: FiniteFloat | None
    """Predicted, one standard deviation."""
    landing_why_not: str
    """Why its landing point does not count; empty where it does."""


class Factor(Result):
    """What the computed drag has to be multiplied by for estimates to meet measurements."""

    factor: FiniteFloat
    low: FiniteFloat
    high: FiniteFloat
    flights: int
    in_force: FiniteFloat
    """The factor in force, 1 without a correction."""
    ratio_before: FiniteFloat
    """Mean ratio with the factor in force."""
    ratio_after: FiniteFloat
    """Mean ratio of the same flights, flown again with the new factor."""


class RocketLearning(Result):
    """One rocket, or all rockets together."""

    rocket: str | None
    """Null for all together, each rocket counting once."""
    flights: int
    """Flights whose apogee counts."""
    ratio: Between | None
    """Mean of measured over estimated."""
    difference_m: Between | None
    """Mean of measured less estimated."""
    scatter: Scatter | None
    factor: Factor | None
    words: str


class LandingLearning(Result):
    """Landing points of all rockets together."""

    flights: int
    along_m: Between | None
    across_m: Between | None
    along: Scatter | None
    across: Scatter | None
    words: str


class ModeLearning(Result):
    """How often flights ended one way."""

    mode: str
    happened: int
    of: int
    """Flights that could have ended this way."""
    not_known: int
    """Of those, how many nobody knows: they count neither way for the estimate, either way for the interval."""
    in_force: FiniteFloat
    low: FiniteFloat
    high: FiniteFloat
    """Interval after Clopper and Pearson."""
    words: str


class OwnFactor(Result):
    """A rocket whose own flights leave out what all together say."""

    rocket: str
    factor: FiniteFloat
    low: FiniteFloat
    high: FiniteFloat
    flights: int
    evidence: str


class FindingMoved(Result):
    """A finding that would stand otherwise; null where the rule does not apply."""

    rule: str
    statement: str
    before: Standing | None
    after: Standing | None
    worse: bool


class StandingMoved(Result):
    """An entry of the day that would stand otherwise, or some of whose findings would."""

    entry: str
    rocket: str
    before: Standing
    after: Standing
    findings: tuple[FindingMoved, ...]


class Proposal(Result):
    """A change that the evidence speaks for. Nothing changes until the organiser accepts it."""

    id: str
    kind: Literal["drag", "spread", "mode"]
    rocket: str | None
    """For the drag: the rocket, or null for all."""
    values: dict[str, FiniteFloat]
    """What to set: `drag_factor`, or spreads or mode chances by name."""
    before: dict[str, FiniteFloat]
    """What is in force."""
    flights: int
    words: str
    evidence: str
    apart: tuple[OwnFactor, ...] = ()
    """For the drag of all: rockets that take their own factor at once, since it contradicts the one for all."""
    direction: str = ""
    """For the drag: whether estimates become more cautious or less."""
    moved: tuple[StandingMoved, ...] | None = None
    """For the drag: what would stand otherwise on the day as it was when this was worked out; null: not looked at."""
    moved_words: str = ""


class Learning(Result):
    """Everything a log teaches."""

    day: str
    flights: tuple[ComparedFlight, ...]
    rockets: tuple[RocketLearning, ...]
    overall: RocketLearning
    landing: LandingLearning
    modes: tuple[ModeLearning, ...]
    proposals: tuple[Proposal, ...]
    recorded_words: str
    """How the estimates of the time compare, where they were kept."""
    words: str
    notes: tuple[str, ...]
    least_flights: int
    seed: int
    samples: int
    engine: str
