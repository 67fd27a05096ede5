"""Advice: the motors a rocket could fly on, and what would clear a finding. Everything here was flown.

A figure that could not be computed is null. Heights are above the field, SI units throughout.
Money is a decimal string.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import FiniteFloat

from service.models.assessment import Chance, Result, Spread
from service.models.entry import Entry
from service.models.field import Pad
from service.models.finding import Standing

Aim = Literal["gentle", "highest", "fastest", "cheapest", "effect", "altitude"]
AIMS: tuple[Aim, ...] = ("gentle", "highest", "fastest", "cheapest", "effect", "altitude")
ScreenedFor = Literal["mount", "delay", "flyer", "experience", "stock", "flight", "ceiling"]
LeverName = Literal[
    "delay", "main_altitude", "setting", "pad", "guide_length", "canopy", "glide", "nose_weight", "tail_weight",
    "motor", "electronics",
]  # fmt: skip


class Change(Result):
    """One value of the launch-day document, before and after."""

    pointer: str
    """Where it stands (RFC 6901)."""
    before: Any
    after: Any


class Cost(Result):
    """What one flight costs: the pack's price over the flights it buys, for all motors of the rocket."""

    amount: str
    """Decimal, rounded to the cent. [currency]"""
    currency: str


class Rung(Result):
    """One motor that fits, flown in this rocket."""

    motor: str
    """Id of the motor."""
    name: str
    """Maker and designation."""
    impulse_class: str
    impulse_ns: FiniteFloat
    """Of all motors installed."""
    case: Literal["single_use", "reload"]
    casing: str | None
    effect: str | None
    cost: Cost | None
    stock: int | None
    certification_needed: int | None
    """Level that the codes in force ask for, 0 for none; null where none would do."""
    adult_needed: bool
    adapter_m: FiniteFloat | None
    """Diameter that an adapter has to bring to the mount's; null where the motor fills the mount."""
    ahead_of_mount_m: FiniteFloat
    """How far it reaches forward out of an open-ended mount."""
    cg_from_nose_m: FiniteFloat
    """Balance point at lift-off, this motor installed."""
    best_delay_s: Spread
    """From burnout to apogee."""
    best_deploy_speed_mps: FiniteFloat | None
    """Airspeed at the first opening with the best delay; null where the delay sets nothing off."""
    delay_s: FiniteFloat | None
    """The delay chosen among those that can be had."""
    apogee_m: Spread
    greatest_speed_mps: FiniteFloat | None
    exit_speed_mps: Spread
    exit_floor_mps: FiniteFloat
    """The larger of 30 mph and four times the wind (common practice)."""
    exit_rule_mps: FiniteFloat
    """Cross-check only, common practice: even acceleration by the average thrust over the guide."""
    thrust_to_weight: FiniteFloat
    static_margin_cal: Spread
    """Where the guide ends; null throughout where the shape is not known."""
    deploy_speed_mps: Spread
    inside: Chance | None
    standing: Standing
    passes: bool
    """Clear by every computed and measured check, with the full number of samples."""
    decides: str
    not_clear: tuple[str, ...]
    """Rules that are not clear."""
    shortfall: FiniteFloat = 0.0
    """What it misses its limits by, each as a share of its limit and at most 1, added up. [-]"""
    stays: bool = False
    """Inside the field and under the ceiling, by every check of the two."""
    samples: int
    changes: tuple[Change, ...]
    """What to change in the entry to fly this; empty where it is what the entry has."""
    notes: tuple[str, ...]
    call_first: str = ""
    """What has to be done before it can fly under a higher ceiling, and for which, in a sentence; empty where nothing
    has to. Its standing is without that."""
    called: Standing | None = None
    """Its standing with that done, in these conditions; null where nothing has to be."""


class Excluded(Result):
    """A motor on offer that is not flown, and why, a sentence a reason; `screened_for` is the first of them."""

    motor: str
    name: str
    impulse_ns: FiniteFloat
    screened_for: ScreenedFor
    why: str
    apogee_m: FiniteFloat | None = None
    """The nominal flight's, where that is what excludes it."""


class Pick(Result):
    """What an aim comes to."""

    aim: Aim
    motor: str | None
    """Null where nothing serves the aim."""
    standing: Standing | None = None
    """Of the motor: caution where nothing that is clear serves the aim."""
    why: str
    also: tuple[str, ...] = ()
    """Other motors that serve it, next best first."""


class Ladder(Result):
    """All motors on offer for one rocket, those that fit in order of apogee."""

    entry: str
    rocket: str
    flyer: str
    pad: str
    conditions_at: str
    ceiling_m: FiniteFloat | None
    """Above the field; null where none is open."""
    beginner: bool
    rungs: tuple[Rung, ...]
    """Lowest apogee first."""
    excluded: tuple[Excluded, ...]
    screening_samples: int
    """Flights of a rung that does not pass."""
    policy_samples: int
    """Flights, at least, of a rung that passes and, where none does, of one at caution."""
    seed: int

    def rung(self, motor_id: str) -> Rung:
        """The rung of one motor; KeyError when it has none."""
        for each in self.rungs:
            if each.motor == motor_id:
                return each
        raise KeyError(motor_id)


class FixStep(Result):
    """One lever moved: how far, in which steps."""

    lever: LeverName
    words: str
    step: str
    """The step it was searched in."""


class Fix(Result):
    """What clears one finding and makes no other worse; or that nothing tried does."""

    rule: str
    statement: str
    before: Standing
    found: Literal["single", "pair", "none"]
    steps: tuple[FixStep, ...]
    words: str
    changes: tuple[Change, ...]
    entry: Entry | None
    """The entry as changed; null where nothing was found."""
    pad: Pad | None
    """The pad as changed; null where it stays as it is."""
    measured_before: str
    measured_after: str
    also_clears: tuple[str, ...]
    """Other rules that the same change clears."""
    standing_after: Standing | None
    samples: int
    """Flights of the full assessment that verified it."""
    assessment: str | None
    """Id of that assessment, on the day as changed."""
    smaller: str
    """What the next smaller change leaves."""
    notes: tuple[str, ...]
    pad_shared_with: tuple[str, ...] = ()
    """Other entries on a pad that the fix changes."""
    rests_on: str = ""
    """The rule that has to be met before this one can be: a rocket that does not fly straight is mended first."""
    people_unknown: str = ""
    """One sentence where the fix leans the guide or moves the rocket to another pad and no zone of people is drawn."""
