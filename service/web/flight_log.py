"""Writing flights down and amending them, for pages and programs alike; what did not leave stands on its pad again."""

from __future__ import annotations

from datetime import datetime, timedelta

from service.models.flight_log import STAYED
from service.planning.flight_log import refuse_impossible
from service.store import NotFound, Store
from service.store.flights import Flight, FlightRow
from service.store.settings import Put
from service.web.line_up import Stayed, as_kept, read_line_up

JUST_NOW = timedelta(minutes=30)  # what is amended later is history: the pads have moved on


def write_down(store: Store, day_id: str, flight: Flight, by: str, at: datetime, *, another: bool = False) -> FlightRow:
    """Write a flight into the log; `another` and what is refused as the store says.

    Raises
    ------
    DocumentRefused
        Where it cannot be: ahead of now, far from the field.
    """
    refuse_impossible(store.day_document(day_id), flight, at)
    return store.flights.add(day_id, flight, by, another=another, also=_stands_again(store, day_id, flight, at))


def amend(
    store: Store, day_id: str, row: FlightRow, flight: Flight, by: str, at: datetime, *, based_on: int
) -> FlightRow:
    """Amend a row; refused as `write_down` refuses, but for what is left as it was."""
    refuse_impossible(store.day_document(day_id), flight, at, row.flight)
    moved = flight.happened != row.flight.happened
    also = _stands_again(store, day_id, flight, at) if moved else None
    return store.flights.update(day_id, row.number, flight, by, based_on=based_on, also=also)


def strike(store: Store, day_id: str, row: FlightRow, by: str, at: datetime, *, based_on: int) -> FlightRow:
    """Say that a row was written by mistake: it stays, with its history, and counts for nothing."""
    flight = row.flight.model_copy(update={"happened": "mistake"})
    return amend(store, day_id, row, flight, by, at, based_on=based_on)


def find_row(store: Store, day_id: str, number: int) -> FlightRow:
    """A row by its number, written by mistake or not."""
    found = next((each for each in store.flights.all(day_id, mistakes=True) if each.number == number), None)
    if found is None:
        raise NotFound(f"found no flight {number} in the log of this day")
    return found


def _stands_again(store: Store, day_id: str, flight: Flight, at: datetime) -> Put | None:
    """The order of flight in which an entry stands on its pad that did not leave it just now; None to leave it be."""
    stay = next((each for each in STAYED if each == flight.happened), None)
    if (stay is None and flight.happened != "mistake") or at - flight.flown_at > JUST_NOW:
        return None
    known = {each.id for each in store.entries.all(day_id)}
    if flight.entry not in known:
        return None
    before = read_line_up(store, day_id, known)
    made = before.back(flight.entry, flight.pad, Stayed(stay, flight.flown_at) if stay else None)
    return None if made == before else as_kept(day_id, made, before.revision)
