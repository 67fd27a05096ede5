"""The fields of an entry's form: the flyer, the rocket as people measure it, its motor, how it comes down."""

from __future__ import annotations

from service.models.day import LaunchDay
from service.planning.quantities import Units, figure
from service.store.motors import BROUGHT, Offer
from service.web.forms import FormField
from service.web.words import delays_words

OWN = "own"  # the choice of a motor of one's own
OWN_PREFIX = BROUGHT
FIN_SETS = 2
TRANSITIONS = 2
_NO: tuple[str, str] = ("", "no")

FLYER = (
    FormField("/flyer/name", "Your name", needed=True, help="Seen by organisers and range safety officers, and "
              "printed on the sheet. Nobody else sees it.", autocomplete="name"),
    FormField("/flyer/certification", "High-power certification", "choice", default="0", choices=(
        ("0", "none"), ("1", "level 1"), ("2", "level 2"), ("3", "level 3"))),
    FormField("/flyer/certifying", "A certification flight", "choice", choices=(
        _NO, ("1", "yes, for level 1"), ("2", "yes, for level 2"), ("3", "yes, for level 3"))),
    FormField("/flyer/adult", "I am 18 or older", "flag"),
    FormField("/flyer/supervised", "An adult who may fly this rocket will stand by", "flag"),
    FormField("/flyer/responsible_adult", "Responsible adult", optional=True,
              help="Needed for a flyer under 18: the name of the adult who answers for the flight."),
    FormField("/flyer/first_flight", "This is my first flight", "flag"),
    FormField("/flyer/here_from", "I am there from", "moment", optional=True,
              help="The proposed order keeps to it. Left out: all day."),
    FormField("/flyer/here_until", "and until", "moment", optional=True),
)  # fmt: skip
ROCKET = (
    FormField("/rocket/name", "Name of the rocket", needed=True),
    FormField("/rocket/mass_kg", "Mass without the motor", "number", quantity="mass", needed=True,
              help="Weighed, with recovery packed."),
    FormField("/rocket/length_m", "Length", "number", quantity="short_length", needed=True,
              help="From the nose tip to the end of the body."),
    FormField("/rocket/diameter_m", "Diameter", "number", quantity="short_length", needed=True,
              help="Of the body, at its widest."),
    FormField("/rocket/mount/diameter_m", "Inner diameter of the motor mount", "number", quantity="short_length",
              needed=True),
    FormField("/rocket/mount/length_m", "Length of the motor mount", "number", quantity="short_length", needed=True,
              help="The longest motor that goes in."),
    FormField("/rocket/mount/open_ended", "A longer motor may reach forward out of the mount", "flag"),
)  # fmt: skip
NOSES = (("ogive", "ogive"), ("cone", "cone"), ("ellipsoid", "ellipsoid"), ("parabolic", "parabolic"),
         ("power", "power series"), ("haack", "Haack, von Karman"))  # fmt: skip
FINISHES = (("20", "polished"), ("60", "painted"), ("150", "rough paint"), ("500", "bare, rough"))
EDGES = (("square", "square"), ("rounded", "rounded"), ("airfoil", "airfoil"))
SHAPE = (
    FormField("/rocket/cg_from_nose_m", "Balance point without the motor", "number", quantity="short_length",
              help="From the nose tip."),
    FormField("/rocket/airframe/nose/shape", "Nose", "choice", choices=NOSES, default="ogive"),
    FormField("/rocket/airframe/nose/length_m", "Nose length", "number", quantity="short_length"),
    FormField("/rocket/airframe/finish_um", "Surface", "choice", choices=FINISHES, default="60"),
    FormField("/rocket/airframe/lugs_from_nose_m/0", "Forward launch lug or rail guide", "number",
              quantity="short_length", optional=True,
              help="From the nose tip. The guide holds until it leaves; left out, one at the balance point is taken."),
    FormField("/rocket/airframe/lugs_from_nose_m/1", "The last one, where there are more", "number",
              quantity="short_length", optional=True, help="From the nose tip."),
)  # fmt: skip


def fin_fields(index: int) -> tuple[FormField, ...]:
    """One set of fins."""
    at = f"/rocket/airframe/fins/{index}"
    return (
        FormField(f"{at}/count", "Number of fins", "whole"),
        FormField(f"{at}/leading_edge_from_nose_m", "Root begins, from the nose tip", "number",
                  quantity="short_length"),
        FormField(f"{at}/root_chord_m", "Root chord", "number", quantity="short_length"),
        FormField(f"{at}/tip_chord_m", "Tip chord", "number", quantity="short_length", help="0 for a pointed fin."),
        FormField(f"{at}/span_m", "Span of one fin", "number", quantity="short_length"),
        FormField(f"{at}/sweep_m", "Sweep", "number", quantity="short_length",
                  help="How far the tip begins behind the root."),
        FormField(f"{at}/thickness_m", "Thickness", "number", quantity="short_length"),
        FormField(f"{at}/edge", "Edges", "choice", choices=EDGES, default="rounded"),
    )  # fmt: skip


def transition_fields(index: int) -> tuple[FormField, ...]:
    """One change of diameter."""
    at = f"/rocket/airframe/transitions/{index}"
    return (
        FormField(f"{at}/from_nose_m", "Begins, from the nose tip", "number", quantity="short_length"),
        FormField(f"{at}/length_m", "Length", "number", quantity="short_length"),
        FormField(f"{at}/fore_diameter_m", "Diameter at its front", "number", quantity="short_length"),
        FormField(f"{at}/aft_diameter_m", "Diameter at its back", "number", quantity="short_length"),
    )


KNOWN = (
    FormField("/rocket/known/drag_coefficient", "Drag coefficient", "number"),
    FormField("/rocket/known/cp_from_nose_m", "Centre of pressure", "number", quantity="short_length",
              help="From the nose tip."),
    FormField("/rocket/pitch_inertia_kgm2", "Pitch inertia without the motor", "number", unit="kg·m²"),
)  # fmt: skip
OWN_MOTOR = (
    FormField("/own/maker", "Maker"),
    FormField("/own/designation", "Designation", help="Letter, average newtons, delay: such as D9 or H120-P."),
    FormField("/own/propellant", "Propellant", "choice", default="composite", choices=(
        ("composite", "composite"), ("black_powder", "black powder"), ("hybrid", "hybrid"))),
    FormField("/own/case", "Case", "choice", default="single_use", choices=(
        ("single_use", "single use"), ("reload", "reload"))),
    FormField("/own/diameter_m", "Diameter", "number", quantity="short_length"),
    FormField("/own/length_m", "Length", "number", quantity="short_length"),
    FormField("/own/loaded_mass_kg", "Mass ready to fly", "number", quantity="mass"),
    FormField("/own/propellant_mass_kg", "Mass of propellant", "number", quantity="mass"),
    FormField("/own/delays", "Delays that can be had", unit="s", help="Such as 3, 5, 7. Leave it empty for plugged."),
    FormField("/own/thrust_curve", "Thrust curve, as CSV", "lines",
              help="First line time_s,thrust_n; then a line for each point, seconds and newtons, ending at no thrust."),
)  # fmt: skip
KINDS = (("parachute", "parachute"), ("streamer", "streamer"), ("helicopter", "helicopter"), ("glide", "glide"),
         ("tumble", "tumble"), ("none", "none"))  # fmt: skip
MAIN_AT = (("motor_delay", "the motor's delay"), ("apogee", "electronics at apogee"),
           ("altitude", "electronics at a height"))  # fmt: skip


def device_fields(at: str, kinds: tuple[tuple[str, str], ...], deploys: tuple[tuple[str, str], ...], default: str):
    """One recovery device."""
    return (
        FormField(f"{at}/kind", "Kind", "choice", choices=kinds, default=default),
        FormField(f"{at}/diameter_m", "Diameter", "number", quantity="short_length",
                  help="Of a canopy laid flat, or of a rotor."),
        FormField(f"{at}/length_m", "Length of a streamer", "number", quantity="short_length"),
        FormField(f"{at}/width_m", "Width of a streamer", "number", quantity="short_length"),
        FormField(f"{at}/descent_speed_mps", "Descent speed, instead of a size", "number", quantity="speed"),
        FormField(f"{at}/drag_coefficient", "Drag coefficient", "number", optional=True,
                  help="Left out, the usual one of its kind."),
        FormField(f"{at}/glide_ratio", "Glide ratio", "number"),
        FormField(f"{at}/deploy/at", "Opens by", "choice", choices=deploys, default=deploys[0][0]),
        FormField(f"{at}/deploy/altitude_m", "Height where it opens", "number", quantity="length",
                  help="Above the field, for electronics at a height."),
        FormField(f"{at}/deploy/delay_s", "Time after apogee", "number", unit="s"),
    )  # fmt: skip


MAIN = device_fields("/main", KINDS, MAIN_AT, "parachute")
FIRST_KINDS = (("", "none: one device only"), *(each for each in KINDS if each[0] not in ("glide", "none")))
FIRST_AT = (MAIN_AT[1], MAIN_AT[0], MAIN_AT[2])  # a drogue opens at apogee unless somebody says otherwise
DROGUE = device_fields("/drogue", FIRST_KINDS, FIRST_AT, "")
NUMBERS = ("number", "whole")


def flight_fields(day: LaunchDay, offers: tuple[Offer, ...], units: Units) -> tuple[FormField, ...]:
    """What depends on the day: motors and pads."""
    return (
        FormField("/motor", "Motor", "choice", needed=True, choices=(
            ("", "choose one"), *_motors(offers), (OWN, "one of my own, described below"))),
        FormField("/motor_count", "How many, lit together", "whole", default="1", needed=True),
        FormField("/delay_s", "Delay", "number", unit="s", help="From burnout; leave it empty for a plugged motor."),
        FormField("/reserve", "Set this motor aside for me", "flag", default="true"),
        FormField("/pad", "Pad", "choice", needed=True, choices=tuple(
            (pad.name, f"{pad.name}: {pad.guide}, {figure(pad.guide_length_m, 'length', units)}")
            for pad in day.field.pads)),
    )  # fmt: skip


def entry_fields(day: LaunchDay, offers: tuple[Offer, ...], units: Units) -> tuple[FormField, ...]:
    """Every field of the form."""
    fins = tuple(each for i in range(FIN_SETS) for each in fin_fields(i))
    transitions = tuple(each for i in range(TRANSITIONS) for each in transition_fields(i))
    flight = flight_fields(day, offers, units)
    return (*FLYER, *ROCKET, *SHAPE, *fins, *transitions, *KNOWN, *flight, *OWN_MOTOR, *MAIN, *DROGUE)


def _motors(offers: tuple[Offer, ...]) -> list[tuple[str, str]]:
    """What the club offers: a motor that a flyer brings is typed below, on editing too."""
    listed = []
    for offer in sorted(offers, key=lambda each: each.motor.impulse_ns):
        motor = offer.motor
        if motor.id.startswith(OWN_PREFIX):
            continue
        left = "" if offer.left is None else f", {offer.left or 'none'} left"
        size = f"{motor.diameter_m * 1000:g} mm"
        listed.append((motor.id, f"{motor.maker} {motor.designation}, {size}, {delays_words(motor)}{left}"))
    return listed
