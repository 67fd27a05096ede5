"""The parts of a broken document that can still be read, so that one fault does not hide the others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from service.models.ceiling import Ceilings
from service.models.conditions import Conditions
from service.models.crosscheck import DayParts
from service.models.entry import Attestation, Entry
from service.models.field import Area, Elevation, Geometry, Pad, Zone
from service.models.motor import Motor
from service.models.rule import Rule
from service.models.types import Day, Id, Position, TimeZone


def readable_parts(document: Any) -> DayParts:
    """Read each part of a document by itself; what cannot be read is left out."""
    field = _get(document, "field")
    motors, pads = _get(document, "motors"), _get(field, "pads")
    return DayParts(
        date=_read(Day, _get(document, "date")),
        timezone=_read(TimeZone, _get(document, "timezone")),
        elevation_m=_read(Elevation, _get(field, "elevation_m")),
        ceiling=_read(Ceilings, _get(document, "ceiling")),
        conditions=_read(Conditions, _get(document, "conditions")),
        codes=_read(tuple[Id, ...], _get(document, "codes")) or (),
        forecast=_each(Conditions, _get(document, "forecast")),
        zones=_each(Zone, _get(field, "zones")),
        pads=_each(Pad, pads),
        motors=_each(Motor, motors),
        entries=_each(Entry, _get(document, "entries")),
        attestations=_stated(_get(document, "attestations")),
        motor_ids=frozenset(_texts(motors, "id")),
        pad_names=frozenset(_texts(pads, "name")),
        all_motors=_all_named(motors, "id"),
        all_pads=_all_named(pads, "name"),
    )


def readable_boundary(document: Any) -> Mapping[str, Any] | None:
    """The boundary as it stands in the document, if its form is right."""
    raw = _get(_get(document, "field"), "boundary")
    return raw if _read(Area, raw) is not None else None


def readable_zones(document: Any) -> dict[int, Mapping[str, Any]]:
    """Geometries of the zones as they stand in the document, those whose form is right."""
    zones = _get(_get(document, "field"), "zones")
    raws = enumerate(_get(zone, "geometry") for zone in zones) if isinstance(zones, list) else ()
    return {index: raw for index, raw in raws if _read(Geometry, raw) is not None}


def readable_codes(document: Any) -> dict[int, str]:
    """Ids of the codes chosen, those that are ids."""
    return _each(Id, _get(document, "codes"))


def readable_rules(document: Any) -> dict[int, Rule]:
    """Local rules whose form is right."""
    return _each(Rule, _get(document, "local_rules"))


def readable_attestations(document: Any) -> Iterator[tuple[str, dict[str, Attestation]]]:
    """Attestations of the day and of each entry, with the pointer to where they stand."""
    yield "/attestations", _stated(_get(document, "attestations"))
    entries = _get(document, "entries")
    for index, entry in enumerate(entries if isinstance(entries, list) else ()):
        yield f"/entries/{index}/attestations", _stated(_get(entry, "attestations"))


def _stated(said: Any) -> dict[str, Attestation]:
    read = {rule: _read(Attestation, raw) for rule, raw in said.items()} if isinstance(said, Mapping) else {}
    return {rule: stated for rule, stated in read.items() if stated is not None and _read(Id, rule) is not None}


def readable_positions(document: Any) -> dict[int, tuple[float, float]]:
    """Positions of the pads, those that are positions."""
    pads = _get(_get(document, "field"), "pads")
    return _each(Position, [_get(pad, "position") for pad in pads] if isinstance(pads, list) else None)


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def _read(kind: Any, raw: Any) -> Any:
    if raw is None:
        return None
    try:
        return _adapter(kind).validate_python(raw)
    except ValidationError:
        return None


def _each(kind: Any, raws: Any) -> dict[int, Any]:
    if not isinstance(raws, list):
        return {}
    read = ((index, _read(kind, raw)) for index, raw in enumerate(raws))
    return {index: value for index, value in read if value is not None}


def _get(raw: Any, name: str) -> Any:
    return raw.get(name) if isinstance(raw, Mapping) else None


def _texts(raws: Any, name: str) -> Iterable[str]:
    values = (_get(raw, name) for raw in raws) if isinstance(raws, list) else ()
    return (value for value in values if isinstance(value, str))


def _all_named(raws: Any, name: str) -> bool:
    return isinstance(raws, list) and all(isinstance(_get(raw, name), str) for raw in raws)
