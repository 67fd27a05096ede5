"""How fast a day goes, as commands, pages and programs may ask for it: what is usual, and from where to where."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """What a plan goes by unless another is asked for, and the least and most that may be."""

    usual: float
    least: float
    most: float


# loading, arming, flying and walking back (engineering estimate; a club sets its own)
FLIGHT_MIN = Figure(10.0, 1.0, 120.0)
GAP_MIN = Figure(3.0, 1.0, 120.0)  # one flight in the air at a time, most are down by then
REST_MIN = Figure(30.0, 1.0, 120.0)  # to find the rocket and prepare the next
STRONGER_MPS = Figure(2.0, 0.5, 10.0)  # more wind to look at, on top of what is forecast
