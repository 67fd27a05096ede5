"""The next smaller change than a fix made, worked out anew from the entry before and after, lever by lever."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad
from service.models.recovery import AtAltitude

State = tuple[Entry, Pad]
MASS_STEPS_KG = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5)  # at most a fiftieth of the rocket


def steps_back(day: LaunchDay, lever: str, before: State, after: State) -> Iterator[State]:
    """What a step less of one lever would be, the other change of a pair left as it is; nothing for a first step."""
    made = {"guide_length": _guide, "canopy": _canopy, "main_altitude": _altitude, "setting": _setting,
            "glide": _glide, "nose_weight": _weight, "tail_weight": _weight, "delay": _delay, "motor": _motor,
            "pad": _pad, "electronics": _none}  # fmt: skip
    yield from made[lever](day, before, after)


def _none(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    """An altimeter is there or not: there is no step less."""
    return iter(())


def _guide(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    entry, pad = after
    yield entry, pad.model_copy(update={"guide_length_m": round(pad.guide_length_m - 0.1, 6)})


def _canopy(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    for index, (was, now) in enumerate(zip(before[0].recovery, after[0].recovery, strict=True)):
        for name, step in (("diameter_m", None), ("descent_speed_mps", 0.1), ("length_m", 0.1)):
            old, new = getattr(was, name), getattr(now, name)
            if old is not None and old != new:
                size = step or (0.02 if old < 0.5 else 0.05 if old < 2.0 else 0.1)
                back = round(new - math.copysign(size, new - old), 6)
                if (back - old) * (new - old) > 0.0:
                    yield _with_device(after, index, now.model_copy(update={name: back}))


def _glide(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    """A tenth flatter, at the same speed through the air: the sink goes with the sine of the path's angle."""
    for index, (was, now) in enumerate(zip(before[0].recovery, after[0].recovery, strict=True)):
        if was.glide_ratio != now.glide_ratio:
            ratio = round(now.glide_ratio + 0.1, 6)
            if ratio < was.glide_ratio - 1e-6:
                airspeed = was.descent_speed_mps * math.hypot(1.0, was.glide_ratio)
                sink = round(airspeed / math.hypot(1.0, ratio), 2)
                flatter = now.model_copy(update={"glide_ratio": ratio, "descent_speed_mps": sink})
                yield _with_device(after, index, flatter)


def _altitude(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    for index, (was, now) in enumerate(zip(before[0].recovery, after[0].recovery, strict=True)):
        if isinstance(was.deploy, AtAltitude) and was.deploy != now.deploy:
            back = now.deploy.altitude_m - math.copysign(10.0, now.deploy.altitude_m - was.deploy.altitude_m)
            yield _with_device(
                after, index, now.model_copy(update={"deploy": AtAltitude(at="altitude", altitude_m=back)})
            )


def _with_device(state: State, index: int, device) -> State:
    devices = list(state[0].recovery)
    devices[index] = device
    return state[0].model_copy(update={"recovery": tuple(devices)}), state[1]


def _setting(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    """The lean is moved in whole degrees toward one of twelve bearings; a degree less on the one that fits."""
    start, end = _lean(before[1]), _lean(after[1])
    apart = math.hypot(end[0] - start[0], end[1] - start[1])
    steps = round(apart)
    if steps > 1:
        toward = round(math.degrees(math.atan2(end[0] - start[0], end[1] - start[1])) / 30.0) * math.radians(30.0)
        east, north = start[0] + (steps - 1) * math.sin(toward), start[1] + (steps - 1) * math.cos(toward)
        tilt = round(math.hypot(east, north), 1)
        azimuth = float(round(math.degrees(math.atan2(east, north)) % 360.0) % 360) if tilt else 0.0
        yield after[0], after[1].model_copy(update={"tilt_deg": tilt, "azimuth_deg": azimuth})


def _lean(pad: Pad) -> tuple[float, float]:
    toward = math.radians(pad.azimuth_deg)
    return pad.tilt_deg * math.sin(toward), pad.tilt_deg * math.cos(toward)


def _weight(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    """Moments give back where the weight sits; a step less of it there."""
    old, new = before[0].rocket, after[0].rocket
    step = max((each for each in MASS_STEPS_KG if each <= old.mass_kg / 50.0), default=0.001)
    added = new.mass_kg - old.mass_kg
    at_m = (new.mass_kg * new.cg_from_nose_m - old.mass_kg * old.cg_from_nose_m) / added
    less = added - step
    if less < 0.5 * step:
        return
    cg_m = (old.mass_kg * old.cg_from_nose_m + less * at_m) / (old.mass_kg + less)
    own = new.pitch_inertia_kgm2 - old.mass_kg * added / new.mass_kg * (at_m - old.cg_from_nose_m) ** 2
    inertia = own + old.mass_kg * less / (old.mass_kg + less) * (at_m - old.cg_from_nose_m) ** 2
    lighter = {"mass_kg": old.mass_kg + less, "cg_from_nose_m": cg_m, "pitch_inertia_kgm2": inertia}
    yield after[0].model_copy(update={"rocket": new.model_copy(update=lighter)}), after[1]


def _delay(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    now, then = before[0].delay_s, after[0].delay_s
    for each in day.motor_by_id(after[0].motor).delays.offered_s():
        if 1e-6 < abs(each - now) < abs(then - now) - 1e-6:
            yield after[0].model_copy(update={"delay_s": each}), after[1]


def _motor(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    """Every motor nearer in impulse that goes in by its size, with every delay that can be had."""
    entry = before[0]
    own = day.motor_by_id(entry.motor).impulse_ns
    reach = abs(math.log(day.motor_by_id(after[0].motor).impulse_ns / own))
    longest = entry.rocket.overall_length_m if entry.rocket.mount.open_ended else entry.rocket.mount.length_m
    waits = any(device.deploy and device.deploy.at == "motor_delay" for device in after[0].recovery)
    for motor in day.motors:
        near = motor.id != entry.motor and abs(math.log(motor.impulse_ns / own)) < reach - 1e-9
        if near and motor.diameter_m <= entry.rocket.mount.diameter_m + 5e-4 and motor.length_m <= longest + 5e-4:
            for delay_s in motor.delays.offered_s() if waits else (None,):
                yield after[0].model_copy(update={"motor": motor.id, "delay_s": delay_s}), after[1]


def _pad(day: LaunchDay, before: State, after: State) -> Iterator[State]:
    """Pads with the same kind of guide come first, then those whose length differs less."""
    now = before[1]

    def further(pad: Pad) -> tuple[bool, float, str]:
        return pad.guide != now.guide, abs(pad.guide_length_m - now.guide_length_m), pad.name

    for pad in day.field.pads:
        if pad.name != now.name and further(pad) < further(after[1]):
            yield after[0].model_copy(update={"pad": pad.name}), pad
