"""What the weather intake refuses, as the API answers it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from service.planning.errors import DocumentRefused, Fault
from service.planning.weather.errors import WeatherRefused


@contextmanager
def refusals() -> Iterator[None]:
    """Within it, what the intake refuses is refused as a document is: each fault with the pointer to its field."""
    try:
        yield
    except WeatherRefused as refused:
        faults = [Fault(f"/{each.where}", each.found, each.expected) for each in refused.faults]
        raise DocumentRefused(faults, refused.name) from None
