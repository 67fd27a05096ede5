"""What is said about a log."""

from __future__ import annotations

from collections.abc import Sequence

from reports.figures import MINUS, Units, scale
from service.models.learning import (
    Between,
    ComparedFlight,
    Factor,
    FindingMoved,
    Proposal,
    RocketLearning,
    Scatter,
    StandingMoved,
)

MODE_WORDS = {
    "no_deployment": "nothing opens",
    "drogue_only": "the main stays in",
    "main_at_apogee": "the main opens at the top",
    "one_unlit": "one motor of a cluster stays unlit",
}
NOTES = (
    "Estimates are flown now, in the weather of each flight and with the corrections in force.",
    "Intervals hold the true figure in 95 of 100 cases; scatter includes the error of whoever measured.",
    "Scatter is held against each flight's own prediction: what is told is the predicted one times how far it is off.",
    "A factor to the drag also takes up other lasting errors, such as a mass or an impulse that is off.",
    "Nothing changes until the organiser accepts a proposal; it is then recorded and printed on the sheet.",
)


def ratio_words(ratio: Between) -> str:
    """How high rockets fly against their estimate.

    >>> ratio_words(Between(estimate=0.96, low=0.945, high=0.975))
    '4.0 % lower than estimated (2.5 to 5.5 % lower)'
    >>> ratio_words(Between(estimate=1.01, low=0.99, high=1.03))
    '1.0 % higher than estimated (from 1.0 % lower to 3.0 % higher)'
    >>> ratio_words(Between(estimate=1.0002))
    'as high as estimated'
    """
    same = abs(ratio.estimate - 1.0) < 0.0005  # would print as 0.0 %
    said = "as high as estimated" if same else f"{_off(ratio.estimate)} than estimated"
    if ratio.low is None or ratio.high is None:
        return said
    if (ratio.low < 1.0) == (ratio.high < 1.0):
        side = "lower" if ratio.high < 1.0 else "higher"
        small, large = sorted((abs(ratio.low - 1.0), abs(ratio.high - 1.0)))
        return f"{said} ({100.0 * small:.1f} to {100.0 * large:.1f} % {side})"
    return f"{said} (from {_off(ratio.low)} to {_off(ratio.high)})"


def _off(ratio: float) -> str:
    return f"{100.0 * abs(ratio - 1.0):.1f} % {'lower' if ratio < 1.0 else 'higher'}"


def figures_words(each: RocketLearning) -> str:
    """How many flights, and how they went."""
    if each.ratio is None:
        return "No flight with a measured apogee counts"
    return f"{each.flights} flight{'' if each.flights == 1 else 's'}, {ratio_words(each.ratio)}"


def rocket_verdict(flights: int, factor: Factor | None, least: int) -> str:
    """What the flights of one rocket say."""
    if flights < least:
        return f"Too few: {least - flights if flights else least} {'more ' if flights else ''}needed for a proposal."
    return _factor_words(factor)


def overall_verdict(rockets: int, factor: Factor | None, enough: bool, least: int) -> str:
    """What all flights together say of rockets that have no correction of their own."""
    if not enough:
        return f"Too few to say anything for all: {least} rockets are needed, {rockets} counted."
    return f"Over {rockets} rockets, each counting once: {_factor_words(factor)}"


def _factor_words(factor: Factor | None) -> str:
    if factor is None:
        return "No drag factor from 0.5 to 2 brings estimates to measurements: look for another cause."
    said = f"Drag times {factor.factor:.2f} ({factor.low:.2f} to {factor.high:.2f}) brings estimates to measurements"
    if factor.low <= factor.in_force <= factor.high:
        return f"{said}; that does not tell it from {factor.in_force:.2f}, which is in force."
    return f"{said}; {factor.in_force:.2f} is in force."


def landing_words(flights: int, along: Between | None, across: Between | None, units: Units = "si") -> str:
    """The landing offsets in a sentence.

    >>> landing_words(9, Between(estimate=21.4, low=-38.0, high=79.0), Between(estimate=-9.0))
    '9 flights landed on average 21 m farther down the wind than estimated (−38 to +79 m), and 9 m to the left of that.'
    """
    if along is None or across is None:
        return "No flight with a known landing point counts."
    far = _far(along, "farther down the wind than estimated", "short of the estimate, up the wind", units)
    side = _far(across, "to the right of that", "to the left of that", units)
    return f"{flights} flight{'' if flights == 1 else 's'} landed on average {far}, and {side}."


def _far(value: Between, over: str, under: str, units: Units) -> str:
    factor, _, unit = scale("length", value.estimate, units)
    said = f"{abs(value.estimate) * factor:.0f} {unit} {over if value.estimate >= 0.0 else under}"
    between = _between(value, factor)
    return f"{said} ({between} {unit})" if between else said


def difference_words(difference: Between, units: Units = "si") -> str:
    """Measured less estimated apogee."""
    factor, _, unit = scale("length", difference.estimate, units)
    between = _between(difference, factor)
    return f"{_signed(difference.estimate * factor)} {unit}" + (f" ({between})" if between else "")


def _between(value: Between, factor: float) -> str:
    if value.low is None or value.high is None:
        return ""
    return f"{_signed(value.low * factor)} to {_signed(value.high * factor)}"


def _signed(number: float) -> str:
    text = f"{number:+.0f}"
    return "0" if text in ("+0", "-0") else text.replace("-", MINUS)


def scatter_words(what: str, scatter: Scatter, units: Units | None = None) -> str:
    """Measured scatter beside the predicted: lengths in these units, shares in per cent without."""
    factor, _, unit = scale("length", 1.0, units) if units else (100.0, 0.0, "%")
    digits = 0 if units else 1
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
    least, most = scatter.measured.low or 0.0, scatter.measured.high or 0.0
    where = "below" if scatter.predicted < least else "above" if scatter.predicted > most else "within"
    return (
        f"Scatter of the {what}: {measured} {unit} (95 %: {low} to {high}); the predicted {predicted} {unit} lies "
        f"{where} that ({held})."
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
    said = f"{figures_words(overall)}." if overall.ratio else "No flight with a measured apogee counts."
    drags = sum(1 for each in proposals if each.kind == "drag")
    others = len(proposals) - drags
    for_what = []
    if drags:
        for_what.append(f"{drags} correction{'s' if drags > 1 else ''} of the drag")
    if others:
        for_what.append(f"{others} change{'s' if others > 1 else ''} of spreads or chances")
    if not for_what:
        return f"{said} Nothing in the log speaks for a change."
    return f"{said} The log speaks for {' and '.join(for_what)}."


def direction_words(before: float, after: float) -> str:
    """What another drag does to how cautious estimates are."""
    if after > before:
        return (
            "More drag: estimates come out lower and landings as a rule nearer, so findings on the ceiling and on "
            "landing outside are LESS cautious than now."
        )
    return (
        "Less drag: estimates come out higher and landings as a rule farther, so findings on the ceiling and on "
        "landing outside are more cautious than now."
    )


def moved_words(flown: int, moved: Sequence[StandingMoved], samples: int) -> str:
    """How many entries would fly with it, and which would stand otherwise."""
    if not flown:
        return "No entry of the day would fly with it."
    entries = f"{flown} {'entry' if flown == 1 else 'entries'} of the day would fly with it"
    basis = f"as entered when this was worked out, {samples} simulated flights each"
    standings = [
        f"{each.entry} {each.rocket} at {each.after} instead of {each.before}"
        for each in moved if each.before != each.after
    ]  # fmt: skip
    inside = [f"{each.entry} {each.rocket}" for each in moved if each.before == each.after]
    parts = [f"would stand otherwise: {'; '.join(standings)}" if standings else "none would stand otherwise"]
    if inside:
        parts.append(f"single findings would change of {', '.join(inside)}")
    return f"{entries} ({basis}); {'; '.join(parts)}."


def finding_moved_words(each: FindingMoved) -> str:
    """One finding that would stand otherwise."""
    told = "does not apply"
    return f"{each.statement.rstrip('.')}: {each.after or told} instead of {each.before or told}"
