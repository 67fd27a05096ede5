"""The fleet: rockets and how many flights of each, from the day's entries or a list of classes with counts."""

from __future__ import annotations

from dataclasses import dataclass

from service.codes.classify import category, faa_class
from service.codes.facts import Value
from service.models.day import LaunchDay
from service.models.designation import LETTERS, impulse_class
from service.models.entry import Entry
from service.models.motor import Motor
from service.planning import facts as known
from service.planning.ground import Ground
from service.planning.sizing.errors import NothingToSize


@dataclass(frozen=True)
class FleetRocket:
    """A rocket of the fleet and the flights it stands for. `pad_at` is in the ground's frame. [m]

    `pads` are those that it may fly from: an entry's own, any of them where nobody has said.
    """

    name: str
    entry: Entry
    motor: Motor
    count: int
    pad_at: tuple[float, float]
    basis: str
    pads: tuple[str, ...]

    @property
    def letter(self) -> str:
        """Impulse class of all its motors."""
        return impulse_class(self.impulse_ns)

    @property
    def impulse_ns(self) -> float:
        return self.entry.motor_count * self.motor.impulse_ns

    @property
    def liftoff_mass_kg(self) -> float:
        return self.entry.rocket.mass_kg + self.entry.motor_count * self.motor.loaded_mass_kg


@dataclass(frozen=True)
class Fleet:
    """Rockets in the order of their classes, the lowest first."""

    rockets: tuple[FleetRocket, ...]
    source: str
    notes: tuple[str, ...] = ()

    @property
    def letters(self) -> list[str]:
        """The classes that fly, the lowest first."""
        return [each for each in LETTERS if any(rocket.letter == each for rocket in self.rockets)]

    def of_class(self, letter: str) -> list[FleetRocket]:
        return [each for each in self.rockets if each.letter == letter]


def fleet_of_entries(day: LaunchDay, ground: Ground) -> Fleet:
    """The day's entries, a flight each, from their own pads.

    Raises
    ------
    NothingToSize
        Without an entry.
    """
    if not day.entries:
        raise NothingToSize("the document has no entry; give the fleet as a CSV of classes and counts")
    alike: dict[str, list[Entry]] = {}
    for entry in day.entries:
        flown = entry.model_dump_json(exclude={"id": True, "flyer": True, "attestations": True, "rocket": {"name"}})
        alike.setdefault(flown, []).append(entry)
    rockets = [
        FleetRocket(
            name=f"{same[0].id} {same[0].rocket.name}",
            entry=same[0],
            motor=day.motor_by_id(same[0].motor),
            count=len(same),
            pad_at=ground.pad_at(day.pad_by_name(same[0].pad)),
            basis=f"entry {', '.join(each.id for each in same)}",
            pads=(same[0].pad,),
        )
        for same in alike.values()
    ]
    return Fleet(in_order(rockets), f"the {len(day.entries)} entries of {day.name}, a flight each")


def pad_places(day: LaunchDay, ground: Ground) -> list[tuple[str, tuple[float, float]]]:
    """The pads by name and where they stand in the ground's frame. [m]"""
    return [(pad.name, ground.pad_at(pad)) for pad in day.field.pads]


def in_order(rockets: list[FleetRocket]) -> tuple[FleetRocket, ...]:
    """By class, then as given."""
    return tuple(sorted(rockets, key=lambda each: LETTERS.index(each.letter)))


def rocket_facts(day: LaunchDay, rocket: FleetRocket) -> dict[str, Value]:
    """What the codes ask about a rocket, its classes among them; the day need not list its motor."""
    whole = day.model_copy(update={"motors": (rocket.motor,)})
    found = known.rocket_facts(whole, rocket.entry)
    return {**found, "faa_class": faa_class(found), "category": category(found)}
