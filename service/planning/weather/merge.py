"""A surface reading over the conditions in force, with the winds aloft: one set of conditions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from pydantic import ValidationError

from service.flight.humidity import ICE_POINT_K, saturation_vapour_pressure_pa
from service.models.base import PROBLEMS
from service.models.conditions import SURFACE_HEIGHT_M, Conditions, WindLevel
from service.planning.weather.errors import WeatherFault, WeatherRefused, refuse
from service.planning.weather.provenance import Provenance, provenance_of
from service.planning.weather.reading import Aloft, Intake, SurfaceReading
from service.planning.weather.times import in_words

KEPT_MIN = 30.0  # humidity, cloud and visibility, as the usual policy for conditions; older ones are not known any more
AIR_KEPT_MIN = 180.0  # temperature and pressure: in 3 h of a sunny morning the air may lose 5 % of its density
ALOFT_KEPT_H = 12.0  # a winds-aloft forecast is for use over 6 to 12 h
NO_WINDS_ALOFT = "No wind above the surface reading is known; higher winds are carried up from it."

_MAY_BE_UNKNOWN = (
    ("RH", ("relative_humidity",)),
    ("cloud", ("cloud_cover", "cloud_base_m")),
    ("vis", ("visibility_m",)),
)
_NAMES = {"T": "temperature", "p": "pressure", "RH": "humidity", "cloud": "cloud", "vis": "visibility"}


def conditions_from(
    reading: SurfaceReading, current: Conditions | None = None, aloft: Aloft | None = None, kept_min: float = KEPT_MIN
) -> Intake:
    """Put a surface reading over the conditions in force.

    What the reading does not tell stays from `current` for as long as it can be trusted: temperature and
    pressure 3 h (then they must be read anew), humidity, cloud and visibility `kept_min` (then they are not
    known), upper winds 12 h from the time they are valid for, unless `aloft` brings new ones. Each is noted.

    Parameters
    ----------
    reading : SurfaceReading
        The new reading; its time and source become those of the conditions.
    current : Conditions, optional
        Those in force.
    aloft : Aloft, optional
        New winds aloft.
    kept_min : float
        Age up to which humidity, cloud and visibility are kept; the day's policy for conditions. [min]

    Raises
    ------
    WeatherRefused
        If temperature or pressure is not known, or the reading contradicts itself.
    """
    past = provenance_of(current) if current else Provenance("nothing")
    notes, faults = [*reading.notes], []
    if current and reading.observed_at < current.observed_at:
        notes.append(f"The conditions in force are newer, of {in_words(current.observed_at)}.")
    kept: dict[str, datetime] = {}
    fields: dict[str, Any] = {
        "temperature_c": reading.temperature_c,
        "pressure_hpa": reading.pressure_hpa,
        "relative_humidity": reading.relative_humidity,
        "cloud_cover": reading.cloud_cover,
        "cloud_base_m": reading.cloud_base_m,
        "visibility_m": reading.visibility_m,
    }

    def since(part: str) -> datetime | None:
        return None if current is None else past.kept.get(part, current.observed_at)

    def fresh(part: str, limit_min: float) -> bool:
        then = since(part)
        return then is not None and abs(reading.observed_at - then) <= timedelta(minutes=limit_min)

    for part, name in (("T", "temperature_c"), ("p", "pressure_hpa")):
        if fields[name] is None:
            if current is not None and fresh(part, AIR_KEPT_MIN):
                fields[name] = getattr(current, name)
                kept[part] = since(part)  # type: ignore[assignment]
            else:
                then = since(part)
                last = f"nothing, and the last is of {in_words(then)}" if then else "nothing"
                faults.append(WeatherFault(_NAMES[part], last, f"the {_NAMES[part]} at the pads"))
    if faults:
        raise WeatherRefused(faults, "the reading")
    for part, names in _MAY_BE_UNKNOWN:
        if current is None or any(fields[name] is not None for name in names):
            continue
        if all(getattr(current, name) is None for name in names):
            continue
        if fresh(part, kept_min):
            fields.update({name: getattr(current, name) for name in names})
            kept[part] = since(part)  # type: ignore[assignment]
            if part == "RH" and "T" not in kept:
                fields["relative_humidity"] = _same_vapour(current, fields["temperature_c"])
        else:
            notes.append(f"The {_NAMES[part]} of {in_words(since(part))} is too old to keep; it is not known now.")  # type: ignore[arg-type]
    for then in dict.fromkeys(kept.values()):
        words = [_NAMES[part] for part, since_then in kept.items() if since_then == then]
        several = f"{', '.join(words[:-1])} and {words[-1]} are" if len(words) > 1 else f"{words[0]} is"
        notes.append(f"The {several} kept from {in_words(then)}.")
    upper, aloft_from = _upper(reading.observed_at, current, past, aloft, notes)
    line = Provenance(reading.source, kept, aloft_from).line()
    wind = (_surface(reading), *[level for level in upper if level.height_m > reading.wind_height_m])
    return Intake(_built({"observed_at": reading.observed_at, "source": line, **fields, "wind": wind}), tuple(notes))


def with_aloft(current: Conditions, aloft: Aloft) -> Intake:
    """Put new winds aloft over the surface weather in force, which keeps its time and its source."""
    past = provenance_of(current)
    notes: list[str] = []
    low = tuple(level for level in current.wind if level.height_m <= SURFACE_HEIGHT_M)
    if not low:
        expected = f"a reading at or below {SURFACE_HEIGHT_M:g} m first"
        raise refuse("the winds aloft", "the conditions in force", "no surface wind", expected)
    upper, aloft_from = _upper(current.observed_at, current, past, aloft, notes)
    line = Provenance(past.surface, past.kept, aloft_from).line()
    fields = {name: getattr(current, name) for name in Conditions.model_fields}
    return Intake(_built({**fields, "source": line, "wind": (*low, *upper)}), tuple(notes))


def _upper(
    at: datetime, current: Conditions | None, past: Provenance, aloft: Aloft | None, notes: list[str]
) -> tuple[tuple[WindLevel, ...], tuple[datetime, str] | None]:
    """The winds above the surface layer, and the time and source they have."""
    if aloft is not None:
        notes += aloft.notes
        if aloft.use_from and aloft.use_until and not aloft.use_from <= at <= aloft.use_until:
            span = f"{in_words(aloft.use_from)} to {in_words(aloft.use_until)}"
            notes.append(f"The winds aloft are for use from {span}; the surface reading is of {in_words(at)}.")
        return aloft.levels, (aloft.valid_at, aloft.source)
    levels = tuple(level for level in current.wind if level.height_m > SURFACE_HEIGHT_M) if current else ()
    if current is None or not levels:
        notes.append(NO_WINDS_ALOFT)
        return (), None
    valid_at, source = past.aloft or (current.observed_at, past.surface)
    if abs(at - valid_at) > timedelta(hours=ALOFT_KEPT_H):
        notes.append(f"The winds aloft of {in_words(valid_at)} are too old to keep and are left out.")
        notes.append(NO_WINDS_ALOFT)
        return (), None
    notes.append(f"The winds above {SURFACE_HEIGHT_M:g} m are kept from {in_words(valid_at)} ({source}).")
    return levels, (valid_at, source)


def _surface(reading: SurfaceReading) -> dict[str, float | None]:
    """The surface wind as plain values: the conditions check it with everything else."""
    return {
        "height_m": reading.wind_height_m,
        "speed_mps": reading.speed_mps,
        "from_deg": reading.from_deg,
        "arc_deg": reading.arc_deg,
        "gust_mps": reading.gust_mps,
    }


def _same_vapour(current: Conditions, temperature_c: float) -> float:
    """Relative humidity when the air has warmed or cooled and holds the same vapour."""
    then, now = (saturation_vapour_pressure_pa(each + ICE_POINT_K) for each in (current.temperature_c, temperature_c))
    return float(min(1.0, (current.relative_humidity or 0.0) * then / now))


def _built(fields: dict[str, Any]) -> Conditions:
    try:
        return Conditions.model_validate(fields)
    except ValidationError as error:
        raise WeatherRefused(list(_faults(error)), "the reading") from None


def _faults(error: ValidationError) -> Iterator[WeatherFault]:
    for detail in error.errors(include_url=False):
        context = detail.get("ctx", {})
        where = "/".join(map(str, detail["loc"]))
        if detail["type"] == PROBLEMS:
            for problem in context["problems"]:
                yield WeatherFault(
                    "/".join(filter(None, [where, *map(str, problem.at)])), problem.found, problem.expected
                )
        else:
            yield WeatherFault(where, str(context.get("found", detail["msg"])), str(context.get("expected", "another")))
