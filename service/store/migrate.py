"""Bringing a database's tables up to this version."""

from __future__ import annotations

import os
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory

from service.store.database import Database, database_url
from service.store.errors import Unavailable

NEWEST = "head"
_VERSION = sa.table("alembic_version", sa.column("version_num"))  # as Alembic's documentation has it


def upgrade(where: str | os.PathLike[str], to: str = NEWEST) -> str:
    """Make or renew the tables; does nothing where they are new enough. Returns the version they have then."""
    database = Database(database_url(where))
    try:
        return upgrade_database(database, to)
    finally:
        database.close()


def upgrade_database(database: Database, to: str = NEWEST) -> str:
    """The same for a database that is open. Several processes may try at once; one does it, in one transaction."""
    config = _config()
    known = ScriptDirectory.from_config(config)
    with database.migrating() as connection:
        found = version_of_tables(connection)
        if found is not None and found not in {script.revision for script in known.walk_revisions()}:
            raise Unavailable(
                f'the tables are of version "{found}", which a newer Rangehand made; expected at most '
                f'"{known.get_current_head()}"'
            )
        if to != NEWEST or found != known.get_current_head():
            config.attributes["connection"] = connection
            command.upgrade(config, to)
        return version_of_tables(connection) or ""


def downgrade_database(database: Database, to: str) -> None:
    """Go back to an older version of the tables ("base": none at all). What only newer tables hold is lost."""
    config = _config()
    with database.migrating() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, to)


def version_of_tables(connection: sa.Connection) -> str | None:
    """The version of the tables; None where there are none.

    Asked by ourselves: the library writes two lines into the log each time, and health is asked again and again.
    """
    if not sa.inspect(connection).has_table(_VERSION.name):
        return None
    return connection.execute(sa.select(_VERSION.c.version_num)).scalar_one_or_none()


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    return config
