"""Motors that flyers bring: kept for as long as the entry that flies one is taken too."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager

from service.models.motor import Motor
from service.store.motors import BROUGHT
from service.web.callers import the_store


@contextmanager
def kept_while(day_id: str, motor: Motor, by: str) -> Iterator[Motor]:
    """Keep a motor under an id of its own and without stock; it goes again when what is done with it fails."""
    own = motor.model_copy(update={"id": BROUGHT + secrets.token_hex(4), "stock": 0})
    store = the_store()
    (kept,) = store.motors.save(day_id, [own], by, based_on={}, why="brought by a flyer")
    try:
        yield kept.motor
    except BaseException:
        store.motors.remove(day_id, own.id, by, based_on=kept.revision, why="its entry was refused")
        raise
