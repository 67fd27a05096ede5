"""Aiming: the lean of a guide that puts the landings nearest to a place. Everything here was flown.

Positions are [longitude, latitude], distances in metres, angles in degrees, azimuths from true north.
"""

from __future__ import annotations

from pydantic import FiniteFloat

from service.models.advice import Change
from service.models.assessment import Chance, Result
from service.models.field import Pad
from service.models.finding import Standing


class AimSetting(Result):
    """One setting of the guide, and where it puts the landings."""

    tilt_deg: FiniteFloat
    azimuth_deg: FiniteFloat
    landing: tuple[float, float]
    """Mean of the dispersed planned landings."""
    east_m: FiniteFloat
    """The same, east of the pad."""
    north_m: FiniteFloat
    distance_m: FiniteFloat
    """From there to the target."""
    outside_share: FiniteFloat
    """Planned landings outside the boundary."""
    ballistic_outside_share: FiniteFloat
    """Landings outside the boundary when nothing opens."""
    people_share: FiniteFloat | None
    """Planned landings among people; null where no zone of people is drawn."""
    ballistic_people_share: FiniteFloat | None
    """Landings among people when nothing opens; null where no zone of people is drawn."""
    toward_people: bool | None
    """Whether it leans within 30 degrees of people or parked cars; null where it leans and no zone of people is drawn,
    unless it leans toward parked cars."""
    samples: int


class MilderAim(Result):
    """A setting on the way to the one found that makes no finding worse."""

    setting: AimSetting
    words: str
    inside: Chance | None
    standing: Standing
    changes: tuple[Change, ...]
    pad_after: Pad
    assessment: str
    """Id of the assessment that shows it."""


class Aiming(Result):
    """The launcher setting for one entry in one set of conditions."""

    entry: str
    rocket: str
    pad: str
    conditions_at: str
    target: tuple[float, float]
    target_name: str
    limit_deg: FiniteFloat
    """The furthest lean that was tried."""
    limit_rule: str | None
    """The rule that sets it; null where no code in force does."""
    limit_words: str
    before: AimSetting
    """As the pad stands."""
    after: AimSetting
    """The setting found; the same as before where nothing is better."""
    worst: AimSetting
    """Of all settings tried within the limit, the one not to be used."""
    worst_why: str
    tried: tuple[AimSetting, ...]
    """The even grid of settings, for the picture."""
    step: str
    """How fine the setting was searched."""
    inside_before: Chance | None
    inside_after: Chance | None
    standing_before: Standing
    standing_after: Standing
    clears: tuple[str, ...]
    """Rules that stand better with the setting than before."""
    worsens: tuple[str, ...]
    """Rules that stand worse, each with its finding in a sentence."""
    milder: MilderAim | None
    """Where the setting makes a finding worse: the nearest to the target, short of it, that makes none worse."""
    words: str
    gains: str
    costs: tuple[str, ...]
    """What the setting takes, a sentence each: height, speed at the first opening, where it goes when nothing opens."""
    changes: tuple[Change, ...]
    pad_after: Pad
    pad_shared_with: tuple[str, ...]
    assessment: str
    """Id of the assessment that verified the setting."""
    samples: int
    """Flights of that assessment."""
    notes: tuple[str, ...]
    betters: tuple[str, ...] = ()
    """What stands better, each as a sentence with what was found before."""
    people_unknown: str = ""
    """One sentence where no zone of people is drawn: then nothing here was kept off them."""
