"""Learn from a flight log: estimate against measurement, and the corrections that the evidence speaks for."""

from __future__ import annotations

from collections.abc import Sequence

from service.models.day import LaunchDay
from service.models.learning import ComparedFlight, Learning, Proposal
from service.planning.advise.errors import AdviceStopped
from service.planning.advise.trials import Progress, Stop, stopper
from service.planning.assess import SEED
from service.planning.learning import wording
from service.planning.learning.cases import Case
from service.planning.learning.compare import LEAST_FLIGHTS, compared, see
from service.planning.learning.consequences import with_consequences
from service.planning.learning.drag_spread import DRAG, better_drag_spread
from service.planning.learning.errors import NothingToLearn
from service.planning.learning.modes import count_modes
from service.planning.learning.proposals import drag_proposal, mode_proposal, spread_proposal
from service.planning.learning.reflights import Reflights
from service.planning.learning.scatter import (
    ACROSS,
    ALONG,
    APOGEE,
    AXES,
    better_spreads,
    sample_of,
    scatter_of,
)
from service.planning.learning.summary import landing_learning, overall_learning, rocket_learning
from service.version import engine

SAMPLES = 128  # a flight: against 4,096 its spread of apogee is then off by some 2 %; with 32 by a third
STEPS = 10  # dispersions a flight: two to compare it, about eight more where a spread is sought


def learn(
    day: LaunchDay, cases: Sequence[Case], *, samples: int = SAMPLES, seed: int = SEED,
    consequences: bool = False, progress: Progress | None = None, should_stop: Stop = None,
) -> Learning:  # fmt: skip
    """Hold a log against estimates, and find what would bring them together.

    Parameters
    ----------
    day : LaunchDay
        Whose corrections, spreads and mode chances are in force, and would be changed.
    cases : sequence of Case
        The flights, from a file (`cases_of`) or from the store (`kept_cases`).
    samples : int
        Dispersed flights for each flight of the log, a power of two.
    seed : int
        The same answer for the same seed.
    consequences : bool
        Whether to assess the day's entries with each proposed drag, to say what would stand otherwise.
    progress : callable, optional
        Called with (steps done, steps in all, what).
    should_stop : callable or Event, optional
        Asked before every flight.

    Raises
    ------
    NothingToLearn
        From an empty log.
    AdviceStopped
        When called off.
    """
    if not cases:
        raise NothingToLearn("the log holds no flight")
    told = _Steps(progress, STEPS * len(cases) + (2 * len(day.entries) if consequences else 0))
    stop = stopper(should_stop)
    flights = Reflights(cases, samples, seed, stop, told.step)
    spreads = dict(day.policy.spreads)
    told.what = "flights"
    seen = see(flights, day.corrections, spreads)
    compared_flights = [compared(flights, each, spreads) for each in seen]
    told.what = "drag"
    names = list(dict.fromkeys(each.rocket for each in seen))
    rockets = []
    for name in sorted(names):
        own = [each for each in seen if each.rocket == name]
        scatter = scatter_of(flights, sample_of(flights, own, APOGEE, spreads), APOGEE, spreads)
        rockets.append(rocket_learning(flights, seen, name, scatter))
    scatters = {axis.name: scatter_of(flights, sample_of(flights, seen, axis, spreads), axis, spreads) for axis in AXES}
    for_all = next((each for each in day.corrections if each.rocket is None), None)
    overall = overall_learning(flights, seen, scatters[APOGEE.name], for_all.drag_factor if for_all else 1.0)
    modes = count_modes(cases, day.mode_chances)
    drags = [*(drag_proposal(each) for each in rockets), drag_proposal(overall, rockets, day.corrections)]
    proposals: list[Proposal] = [found for found in drags if found is not None]
    for axis in AXES:
        told.what = f"spread of the {axis.name}"
        better = better_spreads(flights, seen, axis, spreads)
        if better is not None:
            proposals.append(spread_proposal(axis, *better, spreads))
    better = better_drag_spread(rockets, spreads)
    if better is not None:
        proposals.append(spread_proposal(DRAG, *better, spreads))
    proposals += [found for each in modes if (found := mode_proposal(each))]
    if consequences:

        def check() -> None:
            if stop():
                raise AdviceStopped("called off; nothing was changed")
            told.step()

        proposals = with_consequences(day, proposals, check, told.of_entry)
    told.done()
    return Learning(
        day=day.name,
        flights=tuple(compared_flights),
        rockets=tuple(rockets),
        overall=overall,
        landing=landing_learning(seen, scatters[ALONG.name], scatters[ACROSS.name]),
        modes=tuple(modes),
        proposals=tuple(proposals),
        recorded_words=wording.recorded_words(compared_flights),
        words=wording.answer(overall, proposals),
        notes=wording.NOTES,
        least_flights=LEAST_FLIGHTS,
        seed=seed,
        samples=samples,
        engine=engine(),
    )


def left_out(learning: Learning) -> list[tuple[ComparedFlight, str]]:
    """Flights with something measured that does not count, each with the reason."""
    found = []
    for each in learning.flights:
        if each.measured_m is not None and each.apogee_why_not:
            found.append((each, f"apogee: {each.apogee_why_not}"))
        if each.landing_why_not.startswith("odd one out"):
            found.append((each, f"landing point: {each.landing_why_not}"))
    return found


class _Steps:
    """Counts dispersions, and tells how far it is; the total is a guess, reached only at the end."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._total, self._count = progress, total, 0
        self.what = ""

    def step(self) -> None:
        self._count += 1
        if self._progress:
            self._progress(min(self._count, self._total - 1), self._total, self.what)

    def of_entry(self, entry: str) -> None:
        self.what = f"what would change for {entry}"

    def done(self) -> None:
        if self._progress:
            self._progress(self._total, self._total, "done")
