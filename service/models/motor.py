"""A motor on offer: designation, thrust curve, masses, sizes, delays, price, stock."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import Field as Described

from service.models.base import Model, Problem
from service.models.designation import class_bounds_ns, impulse_class, read_designation
from service.models.types import Amount, Bounded, Currency, Id, Name

STANDARD_GRAVITY_MPS2 = 9.80665  # exact, 3rd CGPM 1901; turns impulse per mass into seconds
SPECIFIC_IMPULSE_S = (20.0, 300.0)  # black powder gives about 80, hybrids and composites up to about 250
IMPULSE_LIMIT_NS = 889_600.0  # amateur rockets end here, 14 CFR 1.1 (200,000 lbf s)
THRUST_LEFT = 0.02  # share of the peak at which a curve may stop instead of at zero
BURN_SHARE = 0.05  # burn time runs between the first and last 5 % of peak (NFPA 1125, from memory, not re-read)
NAME_FACTOR = 2.0  # an average thrust further than this from the name's is another motor's curve
NAMED_IMPULSE_SHARE = 0.2

Seconds = Annotated[float, Bounded(0.0, 60.0, "s")]


class FixedDelays(Model):
    """Delays as sold."""

    kind: Literal["fixed"]
    """The word fixed."""
    seconds: Annotated[tuple[Seconds, ...], Described(min_length=1, max_length=20)]
    """The delays on sale, shortest first, counted from burnout. [s]"""

    def offered_s(self) -> tuple[float, ...]:
        """Delays that can be had, shortest first. [s]"""
        return self.seconds

    def problems(self) -> Iterable[Problem]:
        for index, (shorter, longer) in enumerate(zip(self.seconds, self.seconds[1:], strict=False), start=1):
            if longer <= shorter:
                yield Problem(("seconds", index), f"{longer:g} s", f"longer than the one before, {shorter:g} s")


class AdjustableDelay(Model):
    """A delay drilled down from the longest in steps."""

    kind: Literal["adjustable"]
    """The word adjustable."""
    longest_s: Annotated[float, Bounded(0.0, 60.0, "s", above=True)]
    """The delay undrilled, counted from burnout. [s]"""
    shortest_s: Seconds
    """The shortest that may be drilled. [s]"""
    step_s: Annotated[float, Bounded(0.0, 30.0, "s", above=True)]
    """What one step of the tool takes away. [s]"""

    def offered_s(self) -> tuple[float, ...]:
        """Delays that can be had, shortest first. [s]"""
        steps = min(int((self.longest_s - self.shortest_s) / self.step_s + 1e-9), 1000)
        return tuple(round(self.longest_s - k * self.step_s, 9) for k in range(steps, -1, -1))

    def problems(self) -> Iterable[Problem]:
        if self.shortest_s > self.longest_s:
            yield Problem(("shortest_s",), f"{self.shortest_s:g} s", f"at most the longest delay, {self.longest_s:g} s")


class Plugged(Model):
    """No delay and no ejection charge."""

    kind: Literal["plugged"]
    """The word plugged."""

    def offered_s(self) -> tuple[float, ...]:
        """No delay can be had."""
        return ()


Delays = Annotated[FixedDelays | AdjustableDelay | Plugged, Described(discriminator="kind")]


class Price(Model):
    """What a pack or reload costs."""

    amount: Amount
    """The price as a decimal string. [currency]"""
    currency: Currency
    """The currency's ISO 4217 code."""
    flights: Annotated[int, Bounded(1, 1000, "flights")] = 1
    """How many flights the price buys. [count]"""


class Motor(Model):
    """One kind of motor on offer on the day."""

    id: Id
    """What entries call it."""
    maker: Name
    """Who makes it."""
    designation: Name
    """Letter class, average newtons, optional delay, such as D9 or H120-P."""
    case: Literal["single_use", "reload"]
    """Thrown away after one flight, or a reload for a casing."""
    casing: Name | None = None
    """The casing that a reload fits; null for single use or not known."""
    propellant: Literal["black_powder", "composite", "hybrid"]
    """What burns."""
    diameter_m: Annotated[float, Bounded(0.005, 0.5, "m")]
    """Outer diameter. [m]"""
    length_m: Annotated[float, Bounded(0.01, 5.0, "m")]
    """Overall length. [m]"""
    loaded_mass_kg: Annotated[float, Bounded(0.0005, 500.0, "kg")]
    """Mass ready to fly, casing included. [kg]"""
    propellant_mass_kg: Annotated[float, Bounded(0.0001, 450.0, "kg")]
    """Mass that burns. [kg]"""
    thrust_curve: Annotated[
        tuple[tuple[Annotated[float, Bounded(0.0, 200.0, "s")], Annotated[float, Bounded(0.0, 200_000.0, "N")]], ...],
        Described(min_length=3, max_length=2000),
    ]
    """Pairs of time from ignition and thrust, from time 0 to zero thrust. [s, N]"""
    delays: Delays
    """The delays that can be had."""
    effect: Name | None = None
    """What is seen, such as white smoke; say sparks where it throws them."""
    price: Price | None = None
    """What it costs; null when not known."""
    stock: Annotated[int, Bounded(0, 1_000_000, "motors")] | None = None
    """How many are on offer; null when not counted. [count]"""

    @property
    def impulse_ns(self) -> float:
        """Total impulse: the area under the curve. [N s]"""
        points = self.thrust_curve
        return sum((b[0] - a[0]) * (a[1] + b[1]) / 2.0 for a, b in itertools.pairwise(points))

    @property
    def letter(self) -> str:
        """Letter class of the total impulse."""
        return impulse_class(self.impulse_ns)

    @property
    def peak_thrust_n(self) -> float:
        """Greatest thrust. [N]"""
        return max(thrust_n for _, thrust_n in self.thrust_curve)

    @property
    def burn_time_s(self) -> float:
        """Time between the first and the last 5 % of peak thrust. [s]"""
        threshold_n = BURN_SHARE * self.peak_thrust_n
        return _last_time_s(self.thrust_curve, threshold_n) - _first_time_s(self.thrust_curve, threshold_n)

    @property
    def average_thrust_n(self) -> float:
        """Total impulse over burn time. [N]"""
        return self.impulse_ns / self.burn_time_s

    @property
    def sparking(self) -> bool:
        """Whether the stated effect is sparks."""
        return self.effect is not None and "spark" in self.effect.lower()

    def problems(self) -> Iterable[Problem]:
        if self.propellant_mass_kg >= self.loaded_mass_kg:
            yield Problem(
                ("propellant_mass_kg",),
                f"{self.propellant_mass_kg:g} kg of propellant",
                f"less than the loaded mass, {self.loaded_mass_kg:g} kg",
            )
        if self.case == "single_use" and self.casing is not None:
            yield Problem(("casing",), f'casing "{self.casing}" for a single-use motor', "null, or case reload")
        curve_problems = list(_curve_problems(self.thrust_curve))
        yield from curve_problems
        if not curve_problems:
            yield from self._impulse_problems()
        yield from self._designation_problems(with_curve=not curve_problems)

    def _impulse_problems(self) -> Iterable[Problem]:
        impulse_ns = self.impulse_ns
        if impulse_ns > IMPULSE_LIMIT_NS:
            yield Problem(("thrust_curve",), f"{impulse_ns:g} N s of impulse", "at most 889,600 N s")
        low_s, high_s = SPECIFIC_IMPULSE_S
        specific_s = impulse_ns / (self.propellant_mass_kg * STANDARD_GRAVITY_MPS2)
        if not low_s <= specific_s <= high_s:
            yield Problem(
                ("propellant_mass_kg",),
                f"{self.propellant_mass_kg:g} kg for {impulse_ns:.4g} N s, a specific impulse of {specific_s:.3g} s",
                f"a specific impulse from {low_s:g} to {high_s:g} s",
            )

    def _designation_problems(self, with_curve: bool) -> Iterable[Problem]:
        try:
            name = read_designation(self.designation)
        except ValueError:
            yield Problem(
                ("designation",),
                f'"{self.designation}"',
                "a letter class, average newtons and an optional delay, such as D9, 1/2A3-2 or H120-P",
            )
            return
        offered_s = self.delays.offered_s()
        if name.plugged and offered_s:
            yield Problem(
                ("designation",), f'"{self.designation}", plugged', f"delays of kind plugged, not {self.delays.kind}"
            )
        if name.delay_s is not None and not any(abs(name.delay_s - delay_s) < 1e-6 for delay_s in offered_s):
            yield Problem(
                ("designation",),
                f'"{self.designation}"',
                f"a delay that is offered: {listed(offered_s) or 'none, it is plugged'}",
            )
        if not with_curve:
            return
        impulse_ns = self.impulse_ns
        over_ns, up_to_ns = class_bounds_ns(name.letter)
        slack_ns = 1e-9 * up_to_ns  # the sum of a curve drawn exactly to the bound may miss it by rounding
        if not over_ns < impulse_ns <= up_to_ns + slack_ns:
            yield Problem(
                ("thrust_curve",),
                f"{impulse_ns:.4g} N s of impulse under a class {name.letter} designation",
                f"over {over_ns:g} and up to {up_to_ns:g} N s, or the designation that belongs to the curve",
            )
        average_n = self.average_thrust_n
        if not name.average_n / NAME_FACTOR <= average_n <= name.average_n * NAME_FACTOR:
            yield Problem(
                ("designation",),
                f'"{self.designation}" over a curve that averages {average_n:.3g} N',
                f"an average thrust within a factor {NAME_FACTOR:g} of the curve's",
            )
        if name.impulse_ns is not None and abs(name.impulse_ns / impulse_ns - 1.0) > NAMED_IMPULSE_SHARE:
            yield Problem(
                ("designation",),
                f'"{self.designation}" over a curve of {impulse_ns:.4g} N s',
                "an impulse before the letter within 20 % of the curve's",
            )


def _curve_problems(points: tuple[tuple[float, float], ...]) -> Iterable[Problem]:
    """What is wrong with a thrust curve whose figures are each in bounds."""
    if points[0][0] != 0.0:
        yield Problem(("thrust_curve", 0, 0), f"a first time of {points[0][0]:g} s", "0 s, ignition")
    for index, (before, after) in enumerate(itertools.pairwise(points), start=1):
        if after[0] <= before[0]:
            yield Problem(
                ("thrust_curve", index, 0), f"{after[0]:g} s", f"later than the point before, {before[0]:g} s"
            )
    peak_n = max(thrust_n for _, thrust_n in points)
    if peak_n <= 0.0:
        yield Problem(("thrust_curve",), "no thrust at all", "at least one point with thrust above 0 N")
    elif points[-1][1] > THRUST_LEFT * peak_n:
        yield Problem(("thrust_curve", len(points) - 1, 1), f"{points[-1][1]:g} N at the last point", "0 N, burnt out")


def _first_time_s(points: tuple[tuple[float, float], ...], threshold_n: float) -> float:
    """When thrust first reaches a threshold, on straight lines between points. [s]"""
    if points[0][1] >= threshold_n:
        return points[0][0]
    for (time_a_s, thrust_a_n), (time_b_s, thrust_b_n) in itertools.pairwise(points):
        if thrust_a_n < threshold_n <= thrust_b_n:
            return time_a_s + (time_b_s - time_a_s) * (threshold_n - thrust_a_n) / (thrust_b_n - thrust_a_n)
    return points[0][0]


def _last_time_s(points: tuple[tuple[float, float], ...], threshold_n: float) -> float:
    """When thrust last falls below a threshold. [s]"""
    end_s = points[-1][0]
    backwards = tuple((end_s - time_s, thrust_n) for time_s, thrust_n in reversed(points))
    return end_s - _first_time_s(backwards, threshold_n)


def listed(figures: tuple[float, ...], unit: str = "s") -> str:
    """Write figures as a list in words: 3, 5 or 7 s. Long lists say their ends."""
    if not figures:
        return ""
    if len(figures) > 8:
        return f"{figures[0]:g} to {figures[-1]:g} {unit} in steps of {figures[1] - figures[0]:g} {unit}"
    words = [f"{figure:g}" for figure in figures]
    return (", ".join(words[:-1]) + " or " if len(words) > 1 else "") + words[-1] + f" {unit}"
