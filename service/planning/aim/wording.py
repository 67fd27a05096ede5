"""What is said about a setting."""

from __future__ import annotations

from service.models.assessment import Chance, Estimate
from service.models.entry import Entry
from service.models.field import Pad
from service.planning.aim.landings import Landed
from service.planning.words import distance_in_words, of_100

PEOPLE_UNKNOWN = (
    "No zone of people is drawn on this field: the chance that it comes down among people is UNKNOWN, with this "
    "setting as with every other, and no lean was kept away from them. Draw where they stand and search again."
)

LEAST_SHARE = 0.005  # of the flights; less is not told
LEAST_LOSS = 0.02  # of the apogee
LEAST_FASTER_MPS = 0.5


def setting_words(tilt_deg: float, azimuth_deg: float) -> str:
    """A setting as it is called out at the pad.

    >>> setting_words(0.0, 0.0), setting_words(4.5, 230.0)
    ('upright', '4.5° from vertical toward 230°')
    """
    return "upright" if tilt_deg == 0.0 else f"{tilt_deg:g}° from vertical toward {azimuth_deg:g}°"


def words(before: Pad, after: Pad, kept: bool) -> str:
    """What to do."""
    now = setting_words(before.tilt_deg, before.azimuth_deg)
    if kept:
        return f"Leave pad {before.name} as it is, {now}: nothing tried brings the landings nearer without more harm."
    return f"Set pad {after.name} to {setting_words(after.tilt_deg, after.azimuth_deg)} (now {now})."


def milder_words(leant: Pad, distance_m: float) -> str:
    """What to do where no finding may get worse."""
    where = setting_words(leant.tilt_deg, leant.azimuth_deg)
    return (
        f"Set pad {leant.name} to {where} instead where nothing may stand worse than now: "
        f"mean landing {distance_in_words(distance_m)} from the target."
    )


def gains(before: Landed, after: Landed, was: Chance | None, will: Chance | None) -> str:
    """What the setting brings, in figures."""
    now, then = distance_in_words(before.distance_m), distance_in_words(after.distance_m)
    near = f"Mean landing {then} from the target, before {now}"
    if was is None or will is None:
        return f"{near}; the chance inside is not known."
    return f"{near}; inside in {of_100(will.estimate)}, before {of_100(was.estimate)}."


def costs(before: Landed, after: Landed, was: Estimate | None, will: Estimate | None) -> tuple[str, ...]:
    """What the setting takes, beside what it brings."""
    found = []
    if after.ballistic_outside > before.ballistic_outside + LEAST_SHARE:
        found.append(
            f"With nothing open it comes down outside the boundary in {of_100(after.ballistic_outside)}, "
            f"before in {of_100(before.ballistic_outside)}."
        )
    if was is None or will is None:
        return tuple(found)
    high, low = was.apogee_m.nominal, will.apogee_m.nominal
    if high is not None and low is not None and low < (1.0 - LEAST_LOSS) * high:
        found.append(f"It takes the apogee down from {high:,.0f} m to {low:,.0f} m.")
    slow, fast = was.deploy_speed_mps.nominal, will.deploy_speed_mps.nominal
    if slow is not None and fast is not None and fast > slow + LEAST_FASTER_MPS:
        found.append(f"The first device opens at {fast:.1f} m/s instead of {slow:.1f} m/s.")
    return tuple(found)


def worst_why(worst: Landed, spoken_for: bool) -> str:
    """Why this one is not to be used."""
    where = setting_words(worst.tilt_deg, worst.azimuth_deg)
    end = f"the mean landing is {distance_in_words(worst.distance_m)} from the target."
    if spoken_for and worst.ballistic_people > 0.0:
        return (
            f"Do not set it {where}: with nothing open it comes down among people in {of_100(worst.ballistic_people)}, "
            f"as planned in {of_100(worst.people)}; {end}"
        )
    if spoken_for and worst.people > 0.0:
        return f"Do not set it {where}: it comes down among people in {of_100(worst.people)}; {end}"
    return f"Do not set it {where}: it comes down outside the boundary in {of_100(worst.outside)}; {end}"


def notes(entry: Entry, pad: Pad, spoken_for: bool, after: Landed, outside_limit: bool) -> tuple[str, ...]:
    """What has to be known beside the setting."""
    found = [
        "The landing point is the mean of the dispersed planned flights; every setting flew the same draws.",
        "It holds for the wind it was worked out in, and for this rocket and motor only.",
    ]
    if outside_limit:
        found.append(f"The pad leans further now ({pad.tilt_deg:g}°) than the codes in force allow.")
    if spoken_for and after.ballistic_people > 0.0:
        found.append(
            "With nothing open it may come down among people with every setting tried; "
            f"with this one in {of_100(after.ballistic_people)}."
        )
    if after.toward_people:
        found.append("It leans toward people or parked cars; the settings that do not are worse for people.")
    if after.people > 0.0:
        found.append(f"As planned it comes down among people in {of_100(after.people)}.")
    if entry.motor_count > 1:
        found.append("The search flew the cluster whole; the assessment covers one motor that stays unlit.")
    return tuple(found)
