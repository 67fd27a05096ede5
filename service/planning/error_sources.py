"""The error sources of the dispersion, for pages and for checking what the organiser set."""

from __future__ import annotations

from service.flight.error_sources import SOURCES as SOURCES
