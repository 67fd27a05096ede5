"""What a flyer wants of a motor, and which rung of the ladder serves it.

Rungs that pass everything are picked. Where none that passes serves an aim, one at caution is, and says so; the
highest of these stays inside the field and under the ceiling. What stands at stop or unknown is never picked.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from decimal import Decimal

from service.models.advice import Aim, Ladder, Pick, Rung
from service.models.day import LaunchDay
from service.planning.advise.costs import exact_cost
from service.planning.advise.errors import NothingToAdvise

ALSO = 3
BEGINNER = (
    "A beginner is offered single use first: nothing has to be put together, so less can be put together wrongly, "
    "and no casing has to be bought"
)


def pick(
    ladder: Ladder, day: LaunchDay, aim: Aim, *, effect: str | None = None, altitude_m: float | None = None
) -> Pick:
    """The rung that serves an aim best.

    Parameters
    ----------
    ladder, day
        The ladder and the day it was worked out on.
    aim : str
        ``gentle``: the second or third lowest apogee, of the two that which leaves the guide faster over its floor;
        at caution that which misses least.
        ``highest``, ``fastest``, ``cheapest``. ``effect``: the lowest with that effect. ``altitude``: the apogee
        nearest to the flyer's own target.
    effect : str, optional
        Words to look for in a motor's effect, for that aim.
    altitude_m : float, optional
        The target, for that aim. [m above the field]

    Raises
    ------
    NothingToAdvise
        If the aim needs a figure or a word that is not given.
    """
    if aim == "effect" and not (effect or "").strip():
        raise NothingToAdvise("the aim effect needs the effect wanted, such as white smoke")
    if aim == "altitude" and not (altitude_m or 0.0) > 0.0:
        raise NothingToAdvise("the aim altitude needs a height above zero, in m above the field")
    passing, cautioned = [rung for rung in ladder.rungs if rung.passes], at_caution(ladder)
    if not passing and not cautioned:
        return Pick(aim=aim, motor=None, why=_none_passes(ladder))
    if aim == "highest":
        return _highest(ladder, passing, [rung for rung in cautioned if rung.stays])
    if aim == "effect" and not _showing(passing, str(effect)) and _showing(cautioned, str(effect)):
        passing = []
    rungs = passing or cautioned
    which = PASSES if passing else CAUTIONED
    chooser: dict[Aim, Callable[[], Pick]] = {
        "gentle": lambda: _gentle(ladder, passing) if passing else _least_missing(ladder, cautioned),
        "fastest": lambda: _ranked(
            aim, rungs, lambda rung: -(rung.greatest_speed_mps or 0.0),
            lambda rung: f"The fastest that {which}: about {rung.greatest_speed_mps:,.0f} m/s.",
        ),
        "cheapest": lambda: _cheapest(rungs, day, ladder, which),
        "effect": lambda: _effect(rungs, str(effect), which),
        "altitude": lambda: _ranked(
            aim, rungs, lambda rung: abs((rung.apogee_m.nominal or 0.0) - float(altitude_m or 0.0)),
            lambda rung: f"Of those that {'pass' if which == PASSES else 'stand at caution'}, nearest to "
                         f"{altitude_m:,.0f} m: about {rung.apogee_m.nominal:,.0f} m.",
        ),
    }  # fmt: skip
    return _marked(ladder, chooser[aim]())


PASSES, CAUTIONED = "passes every check", "stands at caution"


def at_caution(ladder: Ladder) -> list[Rung]:
    """Rungs that all flights leave at caution, lowest first: picked where none passes."""
    return [rung for rung in ladder.rungs if rung.standing == "caution" and rung.samples >= ladder.policy_samples]


def _marked(ladder: Ladder, chosen: Pick) -> Pick:
    """A pick with where its motor stands; one at caution says why."""
    if chosen.motor is None:
        return chosen
    rung = ladder.rung(chosen.motor)
    why = chosen.why if rung.passes else f"{chosen.why} It stands at CAUTION. {rung.decides}"
    return chosen.model_copy(update={"standing": rung.standing, "why": why})


def _highest(ladder: Ladder, passing: list[Rung], staying: list[Rung]) -> Pick:
    """The highest that passes; where none does, the highest at caution that stays inside field and ceiling."""
    if not passing and not staying:
        return Pick(aim="highest", motor=None, why="None at caution stays inside the field and under the ceiling.")
    which = PASSES if passing else f"{CAUTIONED} and stays inside the field and under the ceiling"
    chosen = _ranked(
        "highest", passing or staying, _fall,
        lambda rung: f"The highest that {which}: about {rung.apogee_m.nominal:,.0f} m.",
    )  # fmt: skip
    higher = [rung for rung in staying if _fall(rung) < min((_fall(each) for each in passing), default=-math.inf)]
    if higher:
        top = min(higher, key=_fall)
        more = f" {top.name}, to about {top.apogee_m.nominal:,.0f} m, stays inside too, at CAUTION: {top.decides}"
        chosen = chosen.model_copy(update={"why": chosen.why + more})
    return _marked(ladder, chosen)


def _fall(rung: Rung) -> float:
    """Apogee, the highest first. [m]"""
    return -(rung.apogee_m.nominal or 0.0)


def picks(
    ladder: Ladder, day: LaunchDay, *, effect: str | None = None, altitude_m: float | None = None
) -> tuple[Pick, ...]:
    """Every aim that can be served with what was said."""
    aims: list[Aim] = ["gentle", "highest", "fastest", "cheapest"]
    aims += ["effect"] if effect else []
    aims += ["altitude"] if altitude_m else []
    return tuple(pick(ladder, day, aim, effect=effect, altitude_m=altitude_m) for aim in aims)


def _none_passes(ladder: Ladder) -> str:
    if not ladder.rungs:
        return "No motor on offer fits this rocket and its flyer."
    nearest = min(ladder.rungs, key=_missing)
    return f"No motor on offer passes every check. Nearest to it is {nearest.name}: {nearest.decides}"


def _missing(rung: Rung) -> tuple[bool, int, float, str]:
    """The smaller, the nearer to passing."""
    return rung.standing == "stop", len(rung.not_clear), rung.shortfall, rung.motor


def _least_missing(ladder: Ladder, cautioned: list[Rung]) -> Pick:
    """For a gentle flight at caution: no lower apogee makes up for a check that is missed."""
    single = [rung for rung in cautioned if rung.case == "single_use"]
    first = sorted(single if ladder.beginner and single else cautioned, key=_missing)
    why = f"Of those at caution the one that misses least: about {first[0].apogee_m.nominal:,.0f} m."
    return Pick(aim="gentle", motor=first[0].motor, why=why, also=_also(first[1:]))


def _ranked(aim: Aim, rungs: list[Rung], key: Callable[[Rung], float], why: Callable[[Rung], str]) -> Pick:
    ordered = sorted(rungs, key=lambda rung: (key(rung), rung.motor))
    return Pick(aim=aim, motor=ordered[0].motor, why=why(ordered[0]), also=_also(ordered[1:]))


def _also(rungs: list[Rung]) -> tuple[str, ...]:
    return tuple(rung.motor for rung in rungs[:ALSO])


def _gentle(ladder: Ladder, passing: list[Rung]) -> Pick:
    single = [rung for rung in passing if rung.case == "single_use"]
    first = single if ladder.beginner and single else passing
    why = []
    if len(first) == 1:
        chosen = first[0]
        why.append(f"The only one that {PASSES}" + (" and is single use." if first is single else "."))
    else:
        chosen = max(first[1:3], key=_start)
        place = ("lowest", "second lowest", "third lowest")[first.index(chosen)]
        why.append(f"The {place} that {PASSES}: low enough to watch, with some speed in hand off the guide.")
    if ladder.beginner and single:
        why.append(BEGINNER + ".")
    elif ladder.beginner:
        why.append(f"{BEGINNER}; but no single-use motor passes here.")
    others = sorted((rung for rung in first if rung is not chosen), key=lambda rung: abs(first.index(rung) - 1))
    return Pick(aim="gentle", motor=chosen.motor, why=" ".join(why), also=_also(others))


def _start(rung: Rung) -> float:
    """Speed off the guide over its floor. [-]"""
    return (rung.exit_speed_mps.nominal or 0.0) / rung.exit_floor_mps


def _cheapest(passing: list[Rung], day: LaunchDay, ladder: Ladder, which: str) -> Pick:
    priced = [rung for rung in passing if rung.cost is not None]
    if not priced:
        return Pick(aim="cheapest", motor=None, why=f"None that {which} has a price.")
    currency = Counter(rung.cost.currency for rung in priced if rung.cost).most_common(1)[0][0]
    same = [rung for rung in priced if rung.cost and rung.cost.currency == currency]
    ordered = sorted(same, key=lambda rung: (exact_cost(day.motor_by_id(rung.motor)) or Decimal(0), rung.motor))
    least = ordered[0]
    left_out = len(passing) - len(same)
    why = f"The cheapest that {which}: {least.cost.amount} {currency} a flight."  # type: ignore[union-attr]
    if left_out:
        why += f" {left_out} more could not be compared: no price, or another currency."
    return Pick(aim="cheapest", motor=least.motor, why=why, also=_also(ordered[1:]))


def _showing(rungs: list[Rung], effect: str) -> list[Rung]:
    """Those with all words of an effect."""
    return [rung for rung in rungs if _shows(rung, effect)]


def _shows(rung: Rung, effect: str) -> bool:
    return bool(rung.effect) and all(word in str(rung.effect).casefold() for word in effect.casefold().split())


def _effect(rungs: list[Rung], effect: str, which: str) -> Pick:
    found = _showing(rungs, effect)
    if not found:
        seen = sorted({rung.effect for rung in rungs if rung.effect})
        return Pick(
            aim="effect",
            motor=None,
            why=f"None that {which} shows {effect}; there is {', '.join(seen) or 'none stated'}.",
        )
    return Pick(
        aim="effect", motor=found[0].motor, why=f"The lowest that {which} and shows {found[0].effect}.",
        also=_also(found[1:]),
    )  # fmt: skip
