"""How often: token buckets, one an address or account, kept in this process only."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable

from flask import Flask, current_app, request

from service.web.config import Rate
from service.web.errors import TooOften

MOST_KEYS = 20_000
_READS = ("GET", "HEAD", "OPTIONS")


class Buckets:
    """Buckets by key; each starts full. The one not used for longest is forgotten first."""

    def __init__(self, clock_s: Callable[[], float] = time.monotonic) -> None:
        self._clock_s = clock_s
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, tuple[float, float]] = OrderedDict()

    def take(self, key: Hashable, rate: Rate, count: float = 1.0) -> float:
        """Take from a bucket; returns 0, or how long to wait until there is enough. [s]"""
        with self._lock:
            now = self._clock_s()
            level, at = self._kept.pop(key, (rate.burst, now))
            level = min(rate.burst, level + (now - at) * rate.per_s)
            wait_s = 0.0 if level >= count else (count - level) / rate.per_s
            self._kept[key] = (level - count if wait_s == 0.0 else level, now)
            while len(self._kept) > MOST_KEYS:
                self._kept.popitem(last=False)
            return wait_s


def buckets() -> Buckets:
    """The buckets of the running app."""
    return current_app.extensions["buckets"]


def address() -> str:
    """Where the request comes from."""
    return request.remote_addr or "unknown"


def check_rate() -> None:
    """Before each request: refuse an address that asks too often."""
    if request.endpoint == "static":
        return
    rates = current_app.config["RANGEHAND"].rates
    kind = "read" if request.method in _READS else "write"
    wait_s = buckets().take((kind, address()), getattr(rates, kind))
    if wait_s > 0.0:
        raise TooOften(wait_s)


def install(app: Flask) -> None:
    """Count requests."""
    app.before_request(check_rate)
