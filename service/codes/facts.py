"""Facts: what is known about one flight, by the names of the registry.

A fact that is missing, of the wrong kind or not a finite number counts as not known, and the reader keeps a
sentence about it for the finding.
"""

import math
from collections.abc import Mapping

from service.codes.errors import UnknownQuantity
from service.codes.quantities import QUANTITIES, unknown_name

Value = float | str | bool | None
Facts = Mapping[str, Value]
GREATEST = 1e12
"""No quantity of a launch day comes near this in its own unit."""


def refuse_unknown_names(facts: Facts) -> None:
    """Raise `UnknownQuantity` for the first fact whose name no rule may use."""
    for name in facts:
        if name not in QUANTITIES:
            raise UnknownQuantity(f"facts: {unknown_name(name)}")


class Reader:
    """Reads facts and remembers what it asked for and did not find."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.wanted: dict[str, str] = {}
        self.asked: set[str] = set()

    def number(self, name: str) -> float | None:
        """A finite number in the quantity's own unit, or None."""
        value, quantity = self.facts.get(name), QUANTITIES[name]
        self.asked.add(name)
        if value is None:
            self._want(name, "is not known")
        elif isinstance(value, bool) or not isinstance(value, int | float):
            self._want(name, f"is {value!r} where a number is wanted")
        elif not math.isfinite(value):
            self._want(name, f"is {value}, not a finite number")
        elif abs(value) > GREATEST:
            self._want(name, f"is {value:g}, beyond anything that can be measured here")
        elif quantity.least is not None and value < quantity.least:
            self._want(name, f"is {value:.3g} {quantity.unit}: {quantity.below}")
        else:
            return float(value)
        return None

    def value(self, name: str) -> Value:
        """A fact of the kind that the registry states, or None."""
        quantity = QUANTITIES[name]
        if quantity.is_number:
            return self.number(name)
        value = self.facts.get(name)
        if value in quantity.values if quantity.values else isinstance(value, bool):
            return value
        wanted = " or ".join(quantity.values) or "yes or no"
        self._want(name, "is not known" if value is None else f"is {value!r} where {wanted} is wanted")
        return None

    def _want(self, name: str, found: str) -> None:
        self.wanted.setdefault(name, f"{QUANTITIES[name].meaning} ({name}) {found}")

    def missing(self) -> str:
        """One sentence that names everything not found, or an empty string."""
        return "; ".join(self.wanted.values())
