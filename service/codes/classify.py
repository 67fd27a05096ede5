"""The two classes a rocket stands in, decided apart from each other.

The class of 14 CFR 101.22 says which federal rules apply; the category says which code of the sport does. A light
rocket on an H motor can be FAA Class 1 and high power at once. Limits met exactly are inside.
"""

from service.codes.facts import Facts, Reader, Value
from service.codes.limits import either, holds
from service.models.rule import Condition

# 14 CFR 101.22(a): 125 g of propellant, 1,500 g with propellant, no substantial metal parts.
CLASS_1_SIZE = Condition.model_validate({"propellant_mass_kg": {"up_to": 0.125}, "liftoff_mass_kg": {"up_to": 1.5}})
# 14 CFR 101.22(b): 40,960 N·s (9,208 lbf·s).
CLASS_2_SIZE = Condition.model_validate({"impulse_ns": {"up_to": 40960.0}})
# NFPA 1122 (2018) 4.4.1, 4.4.2, 4.5: what a model rocket may be.
MODEL_SIZE = Condition.model_validate(
    {"liftoff_mass_kg": {"up_to": 1.5}, "propellant_mass_kg": {"up_to": 0.125}, "impulse_ns": {"up_to": 320.0}}
)
# NFPA 1127, definitions, as restated in exam texts: a motor over 160 N·s or over 80 N average thrust, a hybrid, a
# motor that throws sparks.
HIGH_POWER_MOTOR = Condition.model_validate(
    {"any": [{"motor_impulse_ns": {"over": 160.0}}, {"motor_average_thrust_n": {"over": 80.0}}, {"hybrid": True},
             {"sparking": True}]}
)


def faa_class(facts: Facts) -> int | None:
    """FAA class 1, 2 or 3 (14 CFR 101.22), or None where a figure is missing.

    Slow-burning propellant and an airframe of paper, wood or breakable plastic are a person's to attest; a rocket
    that is small enough counts as Class 1 unless `substantial_metal` says otherwise, and the checklist asks. What
    is more than an amateur rocket stands in class 3, and has a rule of its own against it.
    """
    reader = Reader(facts)
    small = holds(CLASS_1_SIZE, reader, {})
    if facts.get("substantial_metal") is True:
        small = False
    if small is not False:
        return 1 if small else None
    high_power = holds(CLASS_2_SIZE, reader, {})
    return None if high_power is None else 2 if high_power else 3


def category(facts: Facts) -> str | None:
    """'model' or 'high_power' by NFPA 1122 and 1127, or None where a figure is missing.

    A rocket too large for a model rocket counts as high power even where no single motor is.
    """
    reader = Reader(facts)
    model_size = holds(MODEL_SIZE, reader, {})
    too_large = None if model_size is None else not model_size
    high_power = either([too_large, holds(HIGH_POWER_MOTOR, reader, {})])
    return None if high_power is None else "high_power" if high_power else "model"


def with_classes(facts: Facts) -> dict[str, Value]:
    """The facts with `faa_class` and `category` added, where they are not given."""
    return {"faa_class": faa_class(facts), "category": category(facts), **facts}
