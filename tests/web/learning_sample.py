"""What a log might teach, made by hand: the pages are tested with it, not the statistics."""

from __future__ import annotations

from service.models.learning import (
    Between,
    ComparedFlight,
    Factor,
    FindingMoved,
    LandingLearning,
    Learning,
    ModeLearning,
    OwnFactor,
    Proposal,
    RocketLearning,
    Scatter,
    StandingMoved,
)

ROCKET = "Hornero"


def _scatter(measured: float, predicted: float) -> Scatter:
    return Scatter(
        measured=Between(estimate=measured, low=0.7 * measured, high=1.9 * measured), predicted=predicted,
        chi_square=9.0, freedom=8, by_chance_low=2.2, by_chance_high=17.5, differs=False,
    )  # fmt: skip


def _flight(number: int, measured_m: float, why_not: str = "") -> ComparedFlight:
    return ComparedFlight(
        label=f"2028-07-09 no. {number}, n1", day="Winter", entry="n1", rocket=ROCKET,
        flown_at="2028-07-09T12:45:00+00:00", happened="planned", measured_m=measured_m, estimated_m=124.0,
        recorded_m=123.0, spread=0.035, apogee_why_not=why_not, along_m=12.0 + number, across_m=-8.0,
        along_spread_m=20.0, across_spread_m=15.0, landing_why_not="",
    )  # fmt: skip


def _proposal(kind: str, ident: str, values: dict[str, float], before: dict[str, float], words: str) -> Proposal:
    return Proposal(
        id=ident, kind=kind, rocket=ROCKET if kind == "drag" else None, values=values, before=before, flights=9,
        words=words, evidence="9 flights went 4.2 % lower than estimated (1.0 to 7.3 % lower).",
    )  # fmt: skip


def learning() -> Learning:
    """One rocket with a bias, one with too few flights, an odd one out, a proposal of each kind."""
    factor = Factor(factor=1.12, low=1.03, high=1.2, flights=9, in_force=1.0, ratio_before=0.958, ratio_after=1.0)
    biased = RocketLearning(
        rocket=ROCKET, flights=9, ratio=Between(estimate=0.958, low=0.927, high=0.99),
        difference_m=Between(estimate=-5.2, low=-9.1, high=-1.2), scatter=_scatter(0.04, 0.035), factor=factor,
        words="9 flights, 4.2 % lower than estimated (1.0 to 7.3 % lower).",
    )  # fmt: skip
    few = RocketLearning(
        rocket="Carancho", flights=2, ratio=Between(estimate=1.02, low=0.9, high=1.16), difference_m=None,
        scatter=None, factor=None, words="Too few: 3 more needed for a proposal.",
    )  # fmt: skip
    overall = RocketLearning(
        rocket=None, flights=11, ratio=Between(estimate=0.99), difference_m=Between(estimate=-2.0), scatter=None,
        factor=None, words="11 flights of 2 rockets: too few for all rockets.",
    )  # fmt: skip
    odd = "odd one out: its apogee is 2.9 standard deviations off, over 2.1 (ESD test)"
    return Learning(
        day="Winter",
        flights=(_flight(1, 118.0), _flight(2, 121.0), _flight(3, 170.0, odd)),
        rockets=(biased, few),
        overall=overall,
        landing=LandingLearning(
            flights=3, along_m=Between(estimate=14.0, low=-2.0, high=30.0),
            across_m=Between(estimate=-8.0, low=-20.0, high=4.0), along=_scatter(22.0, 20.0),
            across=_scatter(14.0, 15.0), words="3 flights landed on average 14 m farther down the wind than estimated.",
        ),
        modes=(
            ModeLearning(
                mode="no_deployment", happened=2, of=14, not_known=1, in_force=0.03, low=0.018, high=0.48,
                words="2 of 14 flights, 1 of unknown end: between 1.8 % and 48 %.",
            ),
        ),
        proposals=(
            _proposal("drag", "drag-hornero", {"drag_factor": 1.12}, {"drag_factor": 1.0},
                      "Take the drag of Hornero times 1.12 instead of 1.00.").model_copy(update={
                "direction": "More drag: estimates come out lower, LESS cautious than now.",
                "moved": (StandingMoved(entry="n1", rocket=ROCKET, before="caution", after="clear", findings=(
                    FindingMoved(rule="x", statement="The apogee is under the ceiling.", before="caution",
                                 after="clear", worse=False),)),),
                "moved_words": "1 entry of the day would fly with it; would stand otherwise: n1 Hornero.",
            }),
            _proposal("spread", "spread-impulse", {"impulse": 0.045}, {"impulse": 0.03},
                      "Draw errors with the spread impulse 0.045 instead of 0.03."),
            _proposal("mode", "mode-no_deployment", {"no_deployment": 0.08}, {"no_deployment": 0.03},
                      "Take 8 % instead of 3 % as the chance that nothing opens."),
            _proposal("drag", "drag-all", {"drag_factor": 1.2}, {"drag_factor": 1.0},
                      "Take the drag of every rocket without a correction of its own times 1.20.").model_copy(update={
                "rocket": None,
                "apart": (OwnFactor(rocket="Tijereta", factor=1.01, low=0.95, high=1.08, flights=7,
                                    evidence="7 flights of its own say 1.01."),),
            }),
        ),
        recorded_words="Against what was estimated at the time, 9 flights went 4.0 % lower.",
        words="The log speaks for 1 correction of the drag and 2 changes of spreads or chances.",
        notes=("Nothing changes until the organiser accepts a proposal.",),
        least_flights=5, seed=1, samples=128, engine="test",
    )  # fmt: skip
