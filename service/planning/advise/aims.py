"""What a flyer wants of a motor, and which rung of the ladder serves it. Only rungs that pass everything are picked."""

from __future__ import annotations

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
        ``gentle``: the second or third lowest apogee, of the two that which leaves the guide faster over its floor.
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
    passing = [rung for rung in ladder.rungs if rung.passes]
    if aim == "effect" and not (effect or "").strip():
        raise NothingToAdvise("the aim effect needs the effect wanted, such as white smoke")
    if aim == "altitude" and not (altitude_m or 0.0) > 0.0:
        raise NothingToAdvise("the aim altitude needs a height above zero, in m above the field")
    if not passing:
        return Pick(aim=aim, motor=None, why=_none_passes(ladder))
    chooser: dict[Aim, Callable[[], Pick]] = {
        "gentle": lambda: _gentle(ladder, passing),
        "highest": lambda: _ranked(
            aim, passing, lambda rung: -(rung.apogee_m.nominal or 0.0),
            lambda rung: f"The highest that passes every check: about {rung.apogee_m.nominal:,.0f} m.",
        ),
        "fastest": lambda: _ranked(
            aim, passing, lambda rung: -(rung.greatest_speed_mps or 0.0),
            lambda rung: f"The fastest that passes every check: about {rung.greatest_speed_mps:,.0f} m/s.",
        ),
        "cheapest": lambda: _cheapest(passing, day, ladder),
        "effect": lambda: _effect(passing, str(effect)),
        "altitude": lambda: _ranked(
            aim, passing, lambda rung: abs((rung.apogee_m.nominal or 0.0) - float(altitude_m or 0.0)),
            lambda rung: f"Of those that pass, nearest to {altitude_m:,.0f} m: about {rung.apogee_m.nominal:,.0f} m.",
        ),
    }  # fmt: skip
    return chooser[aim]()


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
    nearest = min(ladder.rungs, key=lambda rung: (rung.standing == "stop", len(rung.not_clear)))
    return f"No motor on offer passes every check. Nearest to it is {nearest.name}: {nearest.decides}"


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
        why.append("The only one that passes every check" + (" and is single use." if first is single else "."))
    else:
        chosen = max(first[1:3], key=_start)
        place = ("lowest", "second lowest", "third lowest")[first.index(chosen)]
        why.append(f"The {place} that passes every check: low enough to watch, with some speed in hand off the guide.")
    if ladder.beginner and single:
        why.append(BEGINNER + ".")
    elif ladder.beginner:
        why.append(f"{BEGINNER}; but no single-use motor passes here.")
    others = sorted((rung for rung in first if rung is not chosen), key=lambda rung: abs(first.index(rung) - 1))
    return Pick(aim="gentle", motor=chosen.motor, why=" ".join(why), also=_also(others))


def _start(rung: Rung) -> float:
    """Speed off the guide over its floor. [-]"""
    return (rung.exit_speed_mps.nominal or 0.0) / rung.exit_floor_mps


def _cheapest(passing: list[Rung], day: LaunchDay, ladder: Ladder) -> Pick:
    priced = [rung for rung in passing if rung.cost is not None]
    if not priced:
        return Pick(aim="cheapest", motor=None, why="None of those that pass has a price.")
    currency = Counter(rung.cost.currency for rung in priced if rung.cost).most_common(1)[0][0]
    same = [rung for rung in priced if rung.cost and rung.cost.currency == currency]
    ordered = sorted(same, key=lambda rung: (exact_cost(day.motor_by_id(rung.motor)) or Decimal(0), rung.motor))
    least = ordered[0]
    left_out = len(passing) - len(same)
    why = f"The cheapest that passes every check: {least.cost.amount} {currency} a flight."  # type: ignore[union-attr]
    if left_out:
        why += f" {left_out} more could not be compared: no price, or another currency."
    return Pick(aim="cheapest", motor=least.motor, why=why, also=_also(ordered[1:]))


def _effect(passing: list[Rung], effect: str) -> Pick:
    wanted = effect.casefold().split()
    found = [rung for rung in passing if rung.effect and all(word in rung.effect.casefold() for word in wanted)]
    if not found:
        seen = sorted({rung.effect for rung in passing if rung.effect})
        return Pick(
            aim="effect",
            motor=None,
            why=f"None that passes shows {effect}; there is {', '.join(seen) or 'none stated'}.",
        )
    return Pick(
        aim="effect", motor=found[0].motor, why=f"The lowest that passes every check and shows {found[0].effect}.",
        also=_also(found[1:]),
    )  # fmt: skip
