"""What a flight costs, in decimal money."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from service.models.advice import Cost
from service.models.motor import Motor

CENT = Decimal("0.01")


def exact_cost(motor: Motor, count: int = 1) -> Decimal | None:
    """Price of so many motors, unrounded; None where the price is not known.

    A pack buys `flights` flights, so one flight's motor is the pack's price over that.
    """
    if motor.price is None:
        return None
    return Decimal(motor.price.amount) * count / motor.price.flights


def cost_per_flight(motor: Motor, count: int = 1) -> Cost | None:
    """The cost of one flight, to the cent, halves up."""
    exact = exact_cost(motor, count)
    if exact is None or motor.price is None:
        return None
    return Cost(amount=str(exact.quantize(CENT, ROUND_HALF_UP)), currency=motor.price.currency)
