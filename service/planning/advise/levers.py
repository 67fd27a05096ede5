"""What can be changed about an entry, each as a row of trials from the smallest change on.

A lever's row has a stated step. Levers stand in the order of how little there is to do on the day: a delay is
drilled in a minute, another canopy has to be found, another motor bought.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from service.models.entry import Entry
from service.models.field import Pad
from service.models.fit import waits_for_motor
from service.models.recovery import AtAltitude, Recovery
from service.planning.advise.electronics_lever import electronics_lever
from service.planning.advise.lever import DESCENT, GROUND, MARGINS, OPENING, SPEED_OFF, Lever, Reach, row
from service.planning.advise.trials import Trials
from service.planning.advise.weights import ballast_levers

GUIDE_STEP_M = 0.1
LONGEST_GUIDE_M = {"rod": 2.5, "rail": 6.0, "tower": 6.0}  # a longer rod whips (engineering estimates)
ALTITUDE_STEP_M = 10.0
LOWEST_MAIN_M, HIGHEST_MAIN_M = 60.0, 500.0
SETTING_STEP_DEG = 1.0
MOST_SETTING_STEPS = 15
NUDGE_STEPS = 3  # of the guide, for an opening a little too fast
REFIT = 2  # more effort where the rocket's lugs have to be changed for another kind of guide
BEARINGS_DEG = range(0, 360, 30)
CANOPY_RANGE = (0.4, 2.5)  # of the diameter there is
STEEPEST_GLIDE = 0.7  # of the ratio there is: trimmed steeper it flies another glide (engineering estimate)


def levers(
    trials: Trials,
    entry: Entry,
    pad: Pad | None,
    quantity: str | None,
    motors: Callable[[], Lever],
    reach: Reach = Reach.TABLE,
) -> Iterator[Lever]:
    """The levers to try on one quantity, least to do first; `pad` is set where a trial before changed it.

    `motors` makes one of the last of them, which takes a flight of every motor; `reach` says which to add. An opening
    at speed is a matter of the delay, the motor or the electronics: a guide is leant for it by a few degrees after the
    first two, by more after all of them.
    """
    stands = pad or trials.day.pad_by_name(entry.pad)
    heavy_last = not (quantity or "").startswith(MARGINS)
    opening = (quantity or "").startswith(OPENING)
    settings = list(setting_levers(entry, stands))
    rows = [
        delay_lever(entry, pad, trials.day.motor_by_id(entry.motor).delays.offered_s()),
        *altitude_levers(entry, pad),
        *([] if opening else settings),
    ]
    if pad is None:
        rows.append(pad_lever(trials, entry, same_guide=True))
    rows += [guide_lever(entry, stands), *canopy_levers(entry, pad)]
    if pad is None:
        rows.append(pad_lever(trials, entry, same_guide=False))
    ballast = list(ballast_levers(entry, pad))
    for lever in (*rows, *([] if heavy_last else ballast)):
        if lever.trials and lever.serves(quantity):
            yield lever
    if pad is None:
        yield motors()
    built = [electronics_lever(trials, entry, pad)] if reach >= Reach.BUILT else []
    leant = settings if opening else []
    if reach < Reach.LEANT and waits_for_motor(entry):
        leant = [replace(lever, trials=lever.trials[:NUDGE_STEPS]) for lever in leant]
    for lever in (*(ballast if heavy_last else []), *built, *leant):
        if lever.trials and lever.serves(quantity):
            yield lever


def delay_lever(entry: Entry, pad: Pad | None, offered: tuple[float, ...]) -> Lever:
    """Other delays that the motor is sold with or can be drilled to, nearest first."""
    if not offered or entry.delay_s is None or not waits_for_motor(entry):
        return Lever("delay", (), ramp=False)
    now = entry.delay_s
    others = sorted((each for each in offered if abs(each - now) > 1e-6), key=lambda each: abs(each - now))
    made = [
        (entry.model_copy(update={"delay_s": each}), pad, f"Take a delay of {each:g} s instead of {now:g} s.", ())
        for each in others
    ]
    return row(
        "delay", made, "the delays that can be had", ramp=False, bears_on=("deploy_", "descent_", "landing_", *GROUND)
    )


def altitude_levers(entry: Entry, pad: Pad | None) -> Iterator[Lever]:
    """The main opened lower, and higher."""
    for index, device in enumerate(entry.recovery):
        if not isinstance(device.deploy, AtAltitude):
            continue
        now = device.deploy.altitude_m
        for way in (-1.0, 1.0):
            heights = _stepped(now, way * ALTITUDE_STEP_M, LOWEST_MAIN_M, HIGHEST_MAIN_M)
            made = [
                (
                    with_device(entry, index, deploy=AtAltitude(at="altitude", altitude_m=height)), pad,
                    f"Set the {device.name} to open at {height:.0f} m instead of {now:.0f} m.", (),
                )
                for height in heights
            ]  # fmt: skip
            yield row("main_altitude", made, f"{ALTITUDE_STEP_M:.0f} m", ramp=True, bears_on=("main_altitude", *GROUND))


def _stepped(now: float, step: float, low: float, high: float) -> list[float]:
    """Whole steps away from a value, up to a bound."""
    first = (math.floor if step > 0 else math.ceil)(round(now / abs(step), 6)) * abs(step)
    values = [round(first + number * step, 6) for number in range(1, 1000)]
    return [value for value in values if low - 1e-9 <= value <= high + 1e-9]


def with_device(entry: Entry, index: int, **changed: object) -> Entry:
    """The entry with one recovery device changed."""
    devices = list(entry.recovery)
    devices[index] = devices[index].model_copy(update=changed)
    return entry.model_copy(update={"recovery": tuple(devices)})


def setting_levers(entry: Entry, pad: Pad) -> Iterator[Lever]:
    """Tilt and azimuth: the guide's upper end leant over by whole degrees, toward each of twelve bearings."""
    east0, north0 = _lean(pad)
    for bearing_deg in BEARINGS_DEG:
        toward = math.radians(bearing_deg)
        made = []
        for number in range(1, MOST_SETTING_STEPS + 1):
            east = east0 + number * SETTING_STEP_DEG * math.sin(toward)
            north = north0 + number * SETTING_STEP_DEG * math.cos(toward)
            tilt = round(math.hypot(east, north), 1)
            azimuth = round(math.degrees(math.atan2(east, north)) % 360.0) % 360 if tilt > 0.0 else 0
            if tilt > 30.0:  # no code lets a guide lean further; what each allows its own finding says
                break
            changed = pad.model_copy(update={"tilt_deg": tilt, "azimuth_deg": float(azimuth)})
            words = (
                f"Set pad {pad.name} to {tilt:g}° from vertical toward {azimuth}° "
                f"(now {pad.tilt_deg:g}° toward {pad.azimuth_deg:g}°)."
            )
            made.append((entry, changed, words, ()))
        yield row(
            "setting",
            made,
            f"{SETTING_STEP_DEG:g}° of the guide, bearings 30° apart, "
            f"up to {MOST_SETTING_STEPS * SETTING_STEP_DEG:g}° from where it points",
            ramp=True,
            bears_on=("deploy_speed", *GROUND),
        )


def _lean(pad: Pad) -> tuple[float, float]:
    """The guide's lean as degrees east and north."""
    toward = math.radians(pad.azimuth_deg)
    return pad.tilt_deg * math.sin(toward), pad.tilt_deg * math.cos(toward)


def pad_lever(trials: Trials, entry: Entry, same_guide: bool) -> Lever:
    """Other pads on the field, with the same kind of guide or with another; the nearest in guide length first."""
    now = trials.day.pad_by_name(entry.pad)
    others = [
        each for each in trials.day.field.pads if each.name != now.name and (each.guide == now.guide) == same_guide
    ]
    others.sort(key=lambda each: (abs(each.guide_length_m - now.guide_length_m), each.name))
    made = []
    for each in others:
        notes = () if same_guide else (f"Pad {each.name} has a {each.guide}: the rocket needs what fits it.",)
        words = f"Fly from pad {each.name}, a {each.guide} of {each.guide_length_m:g} m, instead of {now.name}."
        made.append((entry.model_copy(update={"pad": each.name}), None, words, notes))
    found = row("pad", made, "the pads on the field", ramp=False)
    if same_guide:
        return found
    return replace(found, trials=tuple(replace(each, harder=REFIT) for each in found.trials))


def guide_lever(entry: Entry, pad: Pad) -> Lever:
    """A longer guide on the pad."""
    lengths = _stepped(pad.guide_length_m, GUIDE_STEP_M, 0.2, LONGEST_GUIDE_M[pad.guide])
    made = [
        (
            entry, pad.model_copy(update={"guide_length_m": length}),
            f"Bring a {pad.guide} of {length:g} m for pad {pad.name}, instead of {pad.guide_length_m:g} m.", (),
        )
        for length in lengths
    ]  # fmt: skip
    return row("guide_length", made, f"{GUIDE_STEP_M:g} m", ramp=True, bears_on=SPEED_OFF)


def canopy_levers(entry: Entry, pad: Pad | None) -> Iterator[Lever]:
    """A larger and a smaller canopy or rotor; of a stated descent speed, a slower and a faster one. A steeper glide."""
    for index, device in enumerate(entry.recovery):
        for way in (1.0, -1.0):
            made = list(_canopies(entry, pad, index, device, way))
            if made:
                yield row(
                    "glide" if device.kind == "glide" else "canopy", [each[:4] for each in made], made[0][4], ramp=True,
                    bears_on=(*DESCENT, *GROUND, "main_open"),
                )  # fmt: skip


def _canopies(
    entry: Entry, pad: Pad | None, index: int, device: Recovery, way: float
) -> Iterator[tuple[Entry, Pad | None, str, tuple[str, ...], str]]:
    low, high = CANOPY_RANGE
    if device.kind in ("parachute", "helicopter") and device.diameter_m is not None:
        now = device.diameter_m
        step = canopy_step_m(now)
        for size in _stepped(now, way * step, low * now, high * now):
            words = f"Use a {device.name} of {size:g} m instead of {now:g} m."
            notes = ("The canopy's own change of weight is not reckoned.",)
            yield with_device(entry, index, diameter_m=size), pad, words, notes, f"{step:g} m of diameter"
    elif device.kind in ("parachute", "streamer") and device.descent_speed_mps is not None:
        now = device.descent_speed_mps
        for speed in _stepped(now, -way * 0.1, now / 2.5, 2.5 * now):
            words = f"Use a {device.name} that comes down at {speed:g} m/s instead of {now:g} m/s."
            yield with_device(entry, index, descent_speed_mps=speed), pad, words, (), "0.1 m/s of descent speed"
    elif device.kind == "glide" and device.glide_ratio is not None and device.descent_speed_mps is not None and way < 0:
        now, sink = device.glide_ratio, device.descent_speed_mps
        steepest = max(STEEPEST_GLIDE * now, 1.0)  # trim makes a glide steeper, never flatter
        for ratio in _stepped(now, -0.1, steepest, now):
            faster = round(sink * math.sqrt((1.0 + now**2) / (1.0 + ratio**2)), 2)
            words = f"Trim the {device.name} to a glide of {ratio:g} to 1 instead of {now:g} to 1."
            notes = (f"At the same speed through the air it then sinks at {faster:g} m/s instead of {sink:g} m/s.",)
            trimmed = with_device(entry, index, glide_ratio=ratio, descent_speed_mps=faster)
            yield trimmed, pad, words, notes, "a glide ratio of 0.1"
    elif device.kind == "streamer" and device.length_m is not None:
        now = device.length_m
        for length in _stepped(now, way * 0.1, low * now, high * now):
            words = f"Use a {device.name} {length:g} m long instead of {now:g} m."
            yield with_device(entry, index, length_m=length), pad, words, (), "0.1 m of length"


def canopy_step_m(diameter_m: float) -> float:
    """Sizes that canopies are made in, roughly: finer for small ones. [m]"""
    return 0.02 if diameter_m < 0.5 else 0.05 if diameter_m < 2.0 else 0.1
