"""What the evidence speaks for, and what accepting it changes in a launch day."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Protocol, Self, TypeVar

from service.models.correction import LEAST_FACTOR, MOST_FACTOR, Correction
from service.models.learning import ModeLearning, OwnFactor, Proposal, RocketLearning, Scatter
from service.models.policy import ModeChances, Policy
from service.planning.learning import wording
from service.planning.learning.modes import proposed_chance
from service.planning.learning.scatter import DEFAULTS, Axis

EVIDENCE_LIMIT = 500
LEARNT = "learnt: "  # a reason that begins so tells of a proposal that was accepted


class Corrected(Protocol):
    """A launch day, or the part of it that an organiser edits."""

    @property
    def policy(self) -> Policy: ...
    @property
    def mode_chances(self) -> ModeChances: ...
    @property
    def corrections(self) -> tuple[Correction, ...]: ...
    def model_copy(self, *, update: Mapping[str, object] | None = None) -> Self: ...


D = TypeVar("D", bound=Corrected)


def drag_proposal(
    found: RocketLearning, rockets: Sequence[RocketLearning] = (), corrections: Sequence[Correction] = ()
) -> Proposal | None:
    """A drag factor, where the interval leaves out the one in force.

    For all rockets together `rockets` are those measured and `corrections` those in force: a rocket without a
    correction of its own, whose own flights leave out the factor for all, takes its own factor with it.
    """
    factor = found.factor
    if factor is None or found.ratio is None or factor.low <= factor.in_force <= factor.high:
        return None
    if not LEAST_FACTOR < factor.factor < MOST_FACTOR:
        return None
    whose = "every rocket without a correction of its own" if found.rocket is None else found.rocket
    apart = () if found.rocket is not None else tuple(_apart(factor.factor, rockets, corrections))
    own = "".join(f"; {each.rocket} takes {each.factor:.2f}, since its own flights leave that out" for each in apart)
    return Proposal(
        id="drag-all" if found.rocket is None else f"drag-{_plain(found.rocket)}",
        kind="drag",
        rocket=found.rocket,
        values={"drag_factor": factor.factor},
        before={"drag_factor": factor.in_force},
        flights=factor.flights,
        words=f"Take the drag of {whose} times {factor.factor:.2f} instead of {factor.in_force:.2f}{own}.",
        apart=apart,
        direction=wording.direction_words(factor.in_force, factor.factor),
        evidence=(
            f"{factor.flights} flights{_how(found)} with the drag times "
            f"{factor.in_force:.2f}; times {factor.factor:.2f} (95 %: {factor.low:.2f} to {factor.high:.2f}) the same "
            f"flights, flown again, meet their measured apogees on average."
        ),
    )


def _apart(
    factor: float, rockets: Sequence[RocketLearning], corrections: Sequence[Correction]
) -> Iterator[OwnFactor]:  # fmt: skip
    """Rockets that would take the factor for all, and whose own flights leave it out."""
    corrected = {each.rocket for each in corrections}
    for each in rockets:
        own = each.factor
        if each.rocket is None or each.rocket in corrected or own is None or own.low <= factor <= own.high:
            continue
        if LEAST_FACTOR < own.factor < MOST_FACTOR:
            evidence = (
                f"{own.flights} flights of its own{_how(each)} with the drag times {own.in_force:.2f}; times "
                f"{own.factor:.2f} (95 %: {own.low:.2f} to {own.high:.2f}) they meet their measured apogees on "
                f"average, which leaves out the {factor:.2f} of all rockets together."
            )
            yield OwnFactor(
                rocket=each.rocket, factor=own.factor, low=own.low, high=own.high, flights=own.flights,
                evidence=evidence[:EVIDENCE_LIMIT],
            )  # fmt: skip


def _how(found: RocketLearning) -> str:
    """How the flights went with the factor in force: of one rocket with the interval, of all each rocket once."""
    if found.rocket is None and found.factor is not None:
        off = 100.0 * (found.factor.ratio_before - 1.0)
        return f", each rocket counting once, went {abs(off):.1f} % {'lower' if off < 0.0 else 'higher'} than estimated"
    return f" went {wording.ratio_words(found.ratio)}" if found.ratio else ""


def spread_proposal(
    axis: Axis, scatter: Scatter, values: Mapping[str, float], flights: int, spreads: Mapping[str, float]
) -> Proposal:
    """Spreads with which the dispersion predicts the scatter that was measured."""
    before = {name: spreads.get(name, DEFAULTS[name]) for name in axis.sources}
    said = ", ".join(f"{name} {values[name]:g} instead of {before[name]:g}" for name in axis.sources)
    return Proposal(
        id=f"spread-{axis.sources[0]}",
        kind="spread",
        rocket=None,
        values=dict(values),
        before=before,
        flights=flights,
        words=f"Draw errors with the spread {said}.",
        evidence=f"{flights} flights. {wording.scatter_words(axis.name, scatter, None if axis.by_rocket else 'si')}"[
            :EVIDENCE_LIMIT
        ],
    )


def mode_proposal(each: ModeLearning) -> Proposal | None:
    """A chance of one way of ending, where the interval leaves out the one in force."""
    chance = proposed_chance(each)
    if chance is None or chance == each.in_force:
        return None
    return Proposal(
        id=f"mode-{each.mode}",
        kind="mode",
        rocket=None,
        values={each.mode: chance},
        before={each.mode: each.in_force},
        flights=each.of,
        words=(
            f"Take {100.0 * chance:g} % instead of {100.0 * each.in_force:g} % as the chance that "
            f"{wording.MODE_WORDS[each.mode]}."
        ),
        evidence=each.words,
    )


def accepted(day: D, proposal: Proposal, by: str, at: datetime) -> D:
    """The day with a proposal in force; checked again where it is read or kept."""
    if proposal.kind == "drag":
        correction = Correction(
            rocket=proposal.rocket, drag_factor=proposal.values["drag_factor"], flights=proposal.flights,
            evidence=proposal.evidence[:EVIDENCE_LIMIT], by=by, at=at,
        )  # fmt: skip
        own = tuple(
            Correction(rocket=each.rocket, drag_factor=each.factor, flights=each.flights, evidence=each.evidence, by=by,
                       at=at)
            for each in proposal.apart if all(other.rocket != each.rocket for other in day.corrections)
        )  # fmt: skip
        others = tuple(each for each in day.corrections if each.rocket != proposal.rocket)
        return day.model_copy(update={"corrections": (*others, *own, correction)})
    if proposal.kind == "spread":
        policy = Policy.model_validate(
            {**day.policy.model_dump(), "spreads": {**day.policy.spreads, **proposal.values}}
        )
        return day.model_copy(update={"policy": policy})
    chances = ModeChances.model_validate({**day.mode_chances.model_dump(), **proposal.values})
    return day.model_copy(update={"mode_chances": chances})


def reason_of(proposal: Proposal) -> str:
    """Why the day was changed, for the audit trail: the proposal, the change and its evidence."""
    return f"{LEARNT}{proposal.id}: {proposal.words} {proposal.evidence}"[:EVIDENCE_LIMIT]


def without_correction(day: D, rocket: str | None) -> D:
    """The day without a rocket's correction, or without the one for all."""
    return day.model_copy(update={"corrections": tuple(each for each in day.corrections if each.rocket != rocket)})


def by_id(proposals: Sequence[Proposal], wanted: str) -> Proposal:
    """The proposal with that id; KeyError when there is none."""
    for each in proposals:
        if each.id == wanted:
            return each
    raise KeyError(wanted)


def _plain(name: str) -> str:
    """A name as part of an id.

    >>> _plain("Reed 41")
    'reed-41'
    """
    return "-".join(re.findall(r"[a-z0-9]+", name.lower())) or "rocket"
