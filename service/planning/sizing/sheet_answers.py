"""What the launch day and the flights can say of items that ask for more than one figure. None: it is not known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from service.codes.rulebook import evaluate_all
from service.codes.units import convert
from service.flight.errors import FlightError
from service.flight.nominal import simulate
from service.models.assessment import Mode
from service.models.day import LaunchDay
from service.planning.flight_inputs import flight_inputs
from service.planning.plain_words import plain_words
from service.planning.sizing.affected import MODE_WORDS
from service.planning.sizing.dimensions import BINDING, LOCAL, site_facts
from service.planning.sizing.fleet import FleetRocket
from service.planning.sizing.flights import upright
from service.planning.sizing.profiles import Profile
from service.planning.sizing.unsteady import least_margin_cal

# what is looked at before each flight, beside its own assessment
LAUNCH_QUANTITIES = ("surface_wind_mps", "gust_mps", "visibility_m", "cloud_cover", "cloud_base_m", "daylight")
NOT_KNOWN_YET = "a limit that is not known yet, "


@dataclass(frozen=True)
class Flown:
    """What the flights gave: rockets, ways of ending, landings, (n, 2) [m]; `calm` is the least wind flown."""

    landings: tuple[tuple[FleetRocket, Mode, np.ndarray], ...] = ()
    calm: Profile | None = None


def hours_words(day: LaunchDay) -> tuple[str | None, str | None]:
    """When the activity begins and how long it lasts, by the windows of the ceilings that are entered for the day."""
    zone = ZoneInfo(day.timezone)
    opens, shuts = [each.from_at for each in day.ceilings], [each.to_at for each in day.ceilings]
    if not opens or None in opens or None in shuts:
        return None, None
    first, last = min(each for each in opens if each), max(each for each in shuts if each)
    if first.astimezone(zone).date() != day.date:
        return None, None
    minutes = round((last - first).total_seconds() / 60.0)
    duration = f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")
    return _clock(first, zone), f"{duration}, until {_clock(last, zone)}"


def _clock(at: datetime, zone: ZoneInfo) -> str:
    local, utc = at.astimezone(zone), at.astimezone(ZoneInfo("UTC"))
    return f"{local:%H:%M} ({zone.key}), {utc:%H:%M} UTC"


def forecast_words(day: LaunchDay) -> str:
    """The hours that the forecast entered covers, as a hint for whoever fills in the time; '' without one."""
    zone = ZoneInfo(day.timezone)
    hours = [each.observed_at.astimezone(zone) for each in day.forecast]
    today = [each for each in hours if each.date() == day.date]
    return f"the forecast entered covers {min(today):%H:%M} to {max(today):%H:%M}" if today else ""


def local_words(day: LaunchDay, rockets: Sequence[FleetRocket]) -> str | None:
    """The club's own rules, each in a sentence."""
    said = [rule.says for rule in day.local_rules if rule.kind == "attested" and rule.says]
    for rocket in rockets:
        for each in evaluate_all(day.codes, day.local_rules, site_facts(day, rocket, None)):
            if each.code == LOCAL:
                said.append(each.statement)
    return _sentences(said)


def commit_words(day: LaunchDay, rockets: Sequence[FleetRocket]) -> str | None:
    """The rules in force on wind, sight, cloud and light."""
    said = []
    for rocket in rockets:
        for each in evaluate_all(day.codes, day.local_rules, site_facts(day, rocket, None)):
            if each.quantity in LAUNCH_QUANTITIES and each.weight in BINDING:
                said.append(each.statement.replace(NOT_KNOWN_YET, ""))
    return _sentences(said)


def _sentences(said: Iterable[str]) -> str | None:
    told = [plain_words(each).strip().rstrip(".") for each in dict.fromkeys(said)]
    return ". ".join(each for each in told if each) + "." if told else None


def range_words(rockets: Sequence[FleetRocket], flown: Flown) -> str | None:
    """The farthest landing that was flown, however the flight ended; None where any rocket of the type was not."""
    mine = [each for each in flown.landings if any(each[0] is rocket for rocket in rockets)]
    if not rockets or any(all(each[0] is not rocket for each in mine) for rocket in rockets):
        return None
    reach, mode = max((float(np.hypot(points[:, 0], points[:, 1]).max()), mode) for _, mode, points in mine)
    count = sum(points.shape[0] for _, _, points in mine)
    return (
        f"{reach:,.0f} m ({convert(reach, 'm', 'nmi'):.1f} NM) from the pad: the farthest of {count:,} landings flown "
        f"over the season, {MODE_WORDS[mode]}; no bound"
    )


def stability_words(day: LaunchDay, rockets: Sequence[FleetRocket], flown: Flown) -> str | None:
    """The least static margin while thrust lasts; None where that of any rocket of the type is not known."""
    if flown.calm is None:
        return None
    found = [(least_margin_cal(day, each, flown.calm), each.name) for each in rockets]
    known = [(margin, name) for margin, name in found if margin is not None]
    if not known or len(known) < len(found):
        return None
    margin, name = min(known)
    return f"static margin at least {margin:.1f} calibers from the guide's end until thrust ends ({name})"


def events_words(day: LaunchDay, rockets: Sequence[FleetRocket], flown: Flown) -> str | None:
    """What happens when in each rocket's nominal flight in the least wind; None where any was not flown."""
    said = [_events(day, each, flown.calm) for each in rockets] if flown.calm else []
    known = [each for each in said if each is not None]
    return "; ".join(known) if known and len(known) == len(said) else None


def _events(day: LaunchDay, rocket: FleetRocket, calm: Profile) -> str | None:
    try:
        inputs = upright(flight_inputs(day, rocket.entry, calm.conditions(day.conditions), motor=rocket.motor))
        flight = simulate(inputs.setup, history=False)
    except FlightError:
        return None
    f, lands = flight.figures, flight.landings["planned"]
    opens = f"first device opens at {f['deploy_s']:.0f} s, {f['deploy_height_m']:,.0f} m"
    return (
        f"{rocket.name}: leaves the guide at {f['guide_end_s']:.1f} s with {f['exit_speed_mps']:.0f} m/s; thrust ends "
        f"at {f['burnout_s']:.1f} s, {f['burnout_height_m']:,.0f} m; apogee at {f['apogee_s']:.0f} s, "
        f"{f['apogee_m']:,.0f} m; {opens if np.isfinite(f['deploy_s']) else 'nothing opens'}; "
        f"lands at {lands.time_s:.0f} s"
    )
