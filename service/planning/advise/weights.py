"""Weight added at the nose or at the tail: the balance point moves, and the inertia with it."""

from __future__ import annotations

from collections.abc import Iterator

from service.flight.mass import estimated_pitch_inertia_kgm2
from service.models.entry import Entry
from service.models.field import Pad
from service.models.rocket import Rocket
from service.planning.advise.lever import HEIGHT, MARGINS, OPENING, Lever, row

NOSE_SHARE = 0.5  # of the nose's length from its tip: where clay or lead in a nose comes to lie (engineering estimate)
TAIL_SHARE = 0.97  # of the rocket's length from the nose tip: inside the tail, around the mount (engineering estimate)
MOST_SHARE = 0.6  # of the rocket's mass
STEPS_KG = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)


def weight_step_kg(mass_kg: float) -> float:
    """The step for a rocket: the largest round one that is at most a fiftieth of it. [kg]

    >>> weight_step_kg(0.165), weight_step_kg(2.6)
    (0.002, 0.05)
    """
    return max((step for step in STEPS_KG if step <= mass_kg / 50.0), default=STEPS_KG[0])


def with_weight(rocket: Rocket, added_kg: float, at_m: float) -> Rocket:
    """The rocket with a point mass added at a station, without its motor.

    Balance by moments; a stated inertia by the parallel-axis theorem. Where none is stated, that of the rocket
    without the weight is estimated first, since the estimate spreads mass evenly and this is a point.
    """
    assert rocket.cg_from_nose_m is not None
    before = rocket.pitch_inertia_kgm2
    if before is None:
        before = estimated_pitch_inertia_kgm2(rocket.mass_kg, rocket.overall_length_m, rocket.overall_diameter_m)
    total_kg = rocket.mass_kg + added_kg
    apart_m = at_m - rocket.cg_from_nose_m
    return rocket.model_copy(
        update={
            "mass_kg": round(total_kg, 6),
            "cg_from_nose_m": round((rocket.mass_kg * rocket.cg_from_nose_m + added_kg * at_m) / total_kg, 6),
            "pitch_inertia_kgm2": float(f"{before + rocket.mass_kg * added_kg / total_kg * apart_m**2:.6g}"),
        }
    )


def ballast_levers(entry: Entry, pad: Pad | None) -> Iterator[Lever]:
    """Weight in the nose, and in the tail; none where the balance point is not known."""
    rocket = entry.rocket
    if rocket.airframe is None or rocket.cg_from_nose_m is None:
        return
    step_kg = weight_step_kg(rocket.mass_kg)
    count = int(MOST_SHARE * rocket.mass_kg / step_kg)
    places = (
        ("nose_weight", "nose", NOSE_SHARE * rocket.airframe.nose.length_m, (*MARGINS, *HEIGHT, *OPENING)),
        ("tail_weight", "tail", TAIL_SHARE * rocket.overall_length_m, MARGINS),
    )
    for name, place, at_m, bears_on in places:
        made = []
        for number in range(1, count + 1):
            added_kg = number * step_kg
            heavier = with_weight(rocket, added_kg, at_m)
            words = (
                f"Add {_grams(added_kg)} in the {place}, {at_m:.2g} m from the tip: balance point then "
                f"{heavier.cg_from_nose_m:.3g} m from it instead of {rocket.cg_from_nose_m:.3g} m."
            )
            made.append((entry.model_copy(update={"rocket": heavier}), pad, words, ()))
        yield row(name, made, _grams(step_kg), ramp=True, bears_on=bears_on)  # type: ignore[arg-type]


def _grams(mass_kg: float) -> str:
    return f"{1000.0 * mass_kg:.0f} g" if mass_kg < 1.0 else f"{mass_kg:g} kg"
