"""What the service can be told when it is made."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.planning.ground import Ground

Assess = Callable[[LaunchDay, Entry, Ground], Assessment]


def utc_now() -> datetime:
    """The time, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Rate:
    """A bucket that holds `burst` calls and refills by `per_s` a second."""

    burst: float
    per_s: float


@dataclass(frozen=True)
class Rates:
    """How often one address may ask. A phone that polls and reloads stays far below."""

    read: Rate = Rate(300, 30.0)
    write: Rate = Rate(60, 4.0)
    sign_in_as: Rate = Rate(5, 1 / 30)  # wrong passwords for one account from one address
    sign_in_from: Rate = Rate(20, 1 / 10)  # wrong passwords from one address
    sign_in_account: Rate = Rate(60, 1 / 5)  # wrong passwords for one account from anywhere


@dataclass(frozen=True)
class Config:
    """Settings of one running service."""

    secret_key: bytes = field(default_factory=lambda: secrets.token_bytes(32), repr=False)
    """Signs the session cookies; sessions end when it changes."""
    secure_cookies: bool = False
    """Send cookies over HTTPS only. A field's own network has no certificates, so the default is no."""
    rates: Rates = Rates()
    background: bool = True
    """Assess in the background; tests that want to say when set it to False."""
    workers: int = 0
    """Threads that assess; 0 for one a processor."""
    assess: Assess | None = None
    """In place of `planning.assess.assess_entry`, for tests."""
    stand_ins: Mapping[str, Callable[[Any], Any]] = field(default_factory=dict)
    """In place of long planning work, by kind (`service.web.jobs`), for tests."""
    jobs_each: int = 4
    """Pieces of long work that one person may have waiting."""
    jobs_kept: int = 60
    """Results of long work that are kept."""
    clock: Callable[[], datetime] = utc_now
    demo: bool = False
    """Say on every page that nothing here is kept."""
    key_passphrase: str = field(default="", repr=False)
    """Opens the club's key, so that officers need not type it to sign; empty: they do."""
    weather_url: str = ""
    """Where METARs may be fetched, with {station} in it (weather_fetch.py); empty: nowhere, and nothing offers it."""
    password_cost: tuple[int, int] = (3, 65536)
    """Argon2id passes and memory in KiB (RFC 9106, section 4, second recommended option)."""
