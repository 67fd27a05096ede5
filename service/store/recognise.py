"""Whether a database is one of ours, found out before anything is written into it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa

from service.store import tables
from service.store.errors import Unavailable

HEADER = b"SQLite format 3\x00"  # the first 16 bytes of every SQLite file but an empty one (its file format, 1.3)
OURS = tables.audit_head.name


def require_ours(url: sa.URL, connected: sa.Engine) -> None:
    """Pass over a database that holds our tables, of whatever version.

    Raises
    ------
    Unavailable
        If it holds none: an empty file, a file of something else, another program's database.
    """
    if url.get_backend_name() == "sqlite":
        path = Path(str(url.database))
        found = _in_file(path)
        where = str(path)
    else:
        try:
            found = None if sa.inspect(connected).has_table(OURS) else "other tables than ours, or none"
        except sa.exc.SQLAlchemyError:
            return  # it cannot be reached: opening it says why
        where = url.render_as_string(hide_password=True)
    if found is not None:
        raise Unavailable(f"{where}: found {found}; expected a Rangehand database, as `rangehand init` makes it")


def _in_file(path: Path) -> str | None:
    """What stands in a file instead of our tables; None where they are there."""
    try:
        with path.open("rb") as file:
            head = file.read(len(HEADER))
    except OSError:
        return None  # opening it says why
    if not head:
        return "an empty file"
    if head != HEADER:
        return "a file that is not a database"
    # opened for reading only, so that another program's file stays as it is
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            names = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    except sqlite3.Error:
        return None
    if OURS in names:
        return None
    return "a database of another program" if names else "a database without tables"
