"""What is said about a log."""

from __future__ import annotations

from service.models.learning import Between, ComparedFlight, Factor, Proposal, RocketLearning, Scatter

MODE_WORDS = {
    "no_deployment": "nothing opens",
    "drogue_only": "the main stays in",
    "main_at_apogee": "the main opens at the top",
    "one_unlit": "one motor of a cluster stays unlit",
}
NOTES = (
    "Estimates are flown now, in the weather of each flight and with the corrections in force.",
    "Intervals hold the true figure in 95 of 100 cases; scatter includes the error of whoever measured.",
    "A factor to the drag also takes up other lasting errors, such as a mass or an impulse that is off.",
    "Nothing changes until the organiser accepts a proposal; it is then recorded and printed on the sheet.",
)


def ratio_words(ratio: Between) -> str:
    """How high rockets fly against their estimate.

    >>> ratio_words(Between(estimate=0.96, low=0.945, high=0.975))
    '4.0 % lower than estimated (2.5 to 5.5 % lower)'
    >>> ratio_words(Between(estimate=1.01, low=0.99, high=1.03))
    '1.0 % higher than estimated (from 1.0 % lower to 3.0 % higher)'
    """
    said = f"{_off(ratio.estimate)} than estimated"
    if ratio.low is None or ratio.high is None:
        return said
    if (ratio.low < 1.0) == (ratio.high < 1.0):
        side = "lower" if ratio.high < 1.0 else "higher"
        small, large = sorted((abs(ratio.low - 1.0), abs(ratio.high - 1.0)))
        return f"{said} ({100.0 * small:.1f} to {100.0 * large:.1f} % {side})"
    return f"{said} (from {_off(ratio.low)} to {_off(ratio.high)})"


def _off(ratio: float) -> str:
    return f"{100.0 * abs(ratio - 1.0):.1f} % {'lower' if ratio < 1.0 else 'higher'}"


def rocket_words(flights: int, ratio: Between | None, factor: Factor | None, enough: bool) -> str:
    """One rocket in a sentence."""
    from service.planning.learning.compare import LEAST_FLIGHTS

    if ratio is None:
        return f"No flight with a measured apogee counts; {LEAST_FLIGHTS} are needed for a proposal."
    if not enough:
        more = LEAST_FLIGHTS - flights
        counted = "1 flight" if flights == 1 else f"{flights} flights"
        return f"{counted}, {ratio_words(ratio)}: too few, {more} more needed for a proposal."
    said = f"{flights} flights, {ratio_words(ratio)}."
    return f"{said} {_factor_words(factor)}"


def overall_words(flights: int, rockets: int, ratio: Between | None, factor: Factor | None, enough: bool) -> str:
    """All rockets in a sentence."""
    from service.planning.learning.summary import LEAST_ROCKETS

    if ratio is None:
        return "No flight with a measured apogee counts."
    said = f"{flights} flights of {rockets} rocket{'s' if rockets != 1 else ''}, {ratio_words(ratio)}"
    if not enough:
        return f"{said}: too few for all rockets, {LEAST_ROCKETS} rockets are needed."
    if factor is None:
        return f"{said}. There is no one factor: rockets have corrections of their own, or none from 0.5 to 2 fits."
    return f"{said}. {_factor_words(factor)}"


def _factor_words(factor: Factor | None) -> str:
    if factor is None:
        return "No drag factor from 0.5 to 2 brings estimates to measurements: look for another cause."
    said = f"Drag times {factor.factor:.2f} ({factor.low:.2f} to {factor.high:.2f}) brings estimates to measurements"
    if factor.low <= factor.in_force <= factor.high:
        return f"{said}; that does not tell it from {factor.in_force:.2f}, which is in force."
    return f"{said}; {factor.in_force:.2f} is in force."


def landing_words(flights: int, along: Between | None, across: Between | None) -> str:
    """The landing offsets in a sentence."""
    if along is None or across is None:
        return "No flight with a known landing point counts."
    far = _metres(along, "farther down the wind than estimated", "short of the estimate, up the wind")
    side = _metres(across, "to the right of the estimate", "to the left of it")
    return f"{flights} flights landed on average {far}, and {side} as seen down the wind."


def _metres(value: Between, over: str, under: str) -> str:
    said = f"{abs(value.estimate):.0f} m {over if value.estimate >= 0.0 else under}"
    if value.low is None or value.high is None:
        return said
    return f"{said} ({value.low:+.0f} to {value.high:+.0f} m)"


def scatter_words(what: str, scatter: Scatter, unit: str) -> str:
    """Measured scatter beside the predicted. `unit` is % or m."""
    factor, digits = (100.0, 1) if unit == "%" else (1.0, 0)
    measured, predicted, low, high = (
        f"{factor * value:.{digits}f}"
        for value in (
            scatter.measured.estimate,
            scatter.predicted,
            scatter.measured.low or 0.0,
            scatter.measured.high or 0.0,
        )
    )
    held = (
        f"chi-square {scatter.chi_square:.1f} with {scatter.freedom} degrees of freedom, "
        f"by chance {scatter.by_chance_low:.1f} to {scatter.by_chance_high:.1f}"
    )
    verdict = "differs from" if scatter.differs else "fits"
    return (
        f"Scatter of the {what}: {measured} {unit} ({low} to {high}) {verdict} "
        f"the predicted {predicted} {unit} ({held})."
    )


def recorded_words(flights: list[ComparedFlight]) -> str:
    """How the estimates of the time did."""
    both = [each for each in flights if not each.apogee_why_not and each.recorded_m and each.measured_m]
    if not both:
        return "What was estimated at the time was not kept."
    mean = sum((each.measured_m or 0.0) / (each.recorded_m or 1.0) for each in both) / len(both)
    return f"Against what was estimated at the time, {len(both)} flights went {_off(mean)}."


def answer(overall: RocketLearning, proposals: list[Proposal]) -> str:
    """The whole in a sentence or two."""
    drags = [each for each in proposals if each.kind == "drag"]
    others = len(proposals) - len(drags)
    if not proposals:
        return f"{overall.words} Nothing in the log speaks for a change."
    said = []
    if drags:
        said.append(f"{len(drags)} correction{'s' if len(drags) > 1 else ''} of the drag")
    if others:
        said.append(f"{others} change{'s' if others > 1 else ''} of spreads or chances")
    return f"{overall.words} The log speaks for {' and '.join(said)}."


def difference_words(difference: Between) -> str:
    """Measured less estimated apogee, in metres."""
    said = f"Measured less estimated: {difference.estimate:+.0f} m"
    return said if difference.low is None else f"{said} ({difference.low:+.0f} to {difference.high:+.0f} m)."
