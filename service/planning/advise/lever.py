"""A lever: one thing that can be changed, as a row of trials from the smallest change on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

from pydantic import ValidationError

from service.models.advice import FixStep, LeverName
from service.models.entry import Entry
from service.models.field import Pad

ZONE_CHANCES = tuple(
    f"{kind}_chance" for kind in ("parking", "building", "road", "power_line", "water", "trees", "keep_out")
)
# Beginnings of the names of quantities, by what moves them.
SPEED_OFF = ("exit_", "guide_", "static_margin", "least_static", "damping")
MARGINS = ("static_margin", "least_static", "damping")
GROUND = ("outside_", "people_", "collective_", "individual_", "footprint_", "track_", "tilt_", *ZONE_CHANCES)
DESCENT = ("descent_", "drogue_", "landing_")
HEIGHT = ("apogee", "cloud_base")  # a cloud base is held against the apogee
OPENING = ("deploy_", "nothing_opened")

# What it takes to do it, by which pairs are ranked: turned or drilled at the table, brought, put in, bought, built.
EFFORT: dict[LeverName, int] = {
    "delay": 1, "main_altitude": 1, "setting": 1, "pad": 1, "guide_length": 2, "canopy": 2, "glide": 2,
    "nose_weight": 3, "tail_weight": 3, "motor": 4, "electronics": 6,
}  # fmt: skip


class Reach(IntEnum):
    """How far one goes to clear a finding: what can be done on the day, what has to be built, and, where the motor's
    charge opens the first device at speed, a guide leant far over to soften that."""

    TABLE = 0
    BUILT = 1
    LEANT = 2


@dataclass(frozen=True)
class Trial:
    """One change: the entry as it would be, and the pad where that is what changes."""

    entry: Entry
    pad: Pad | None
    step: FixStep
    size: float  # share of the lever's reach, to compare pairs by
    notes: tuple[str, ...] = ()
    harder: int = 0  # than the lever's usual effort

    @property
    def effort(self) -> int:
        """What it takes to do."""
        return EFFORT[self.step.lever] + self.harder


@dataclass(frozen=True)
class Lever:
    """A row of trials, smallest change first.

    `ramp`: the further, the more effect, so that the first that works is found by root finding; otherwise each is
    tried in turn. `bears_on`: beginnings of the quantities that it is tried on; empty for all.
    """

    name: LeverName
    trials: tuple[Trial, ...]
    ramp: bool
    bears_on: tuple[str, ...] = ()

    def serves(self, quantity: str | None) -> bool:
        """Whether it is worth trying on a finding of this quantity."""
        return not self.bears_on or quantity is None or quantity.startswith(self.bears_on)


def checked(entry: Entry) -> Entry | None:
    """The entry read again as from a document; None where it would be refused."""
    try:
        return Entry.model_validate(entry.model_dump(by_alias=True))
    except ValidationError:
        return None


def row(
    name: LeverName, made: Sequence[tuple[Entry, Pad | None, str, tuple[str, ...]]], step: str, *, ramp: bool,
    bears_on: tuple[str, ...] = (),
) -> Lever:  # fmt: skip
    """A lever of trials in the order given; those that would be refused as a document are left out."""
    kept = [
        Trial(read, pad, FixStep(lever=name, words=words, step=step), (number + 1) / len(made), notes)
        for number, (entry, pad, words, notes) in enumerate(made)
        if (read := checked(entry)) is not None
    ]
    return Lever(name, tuple(kept), ramp, bears_on)
