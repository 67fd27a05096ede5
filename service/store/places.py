"""Which entries an assessment was made for, as far as that is still kept."""

from __future__ import annotations

from typing import NamedTuple

import sqlalchemy as sa

from service.store import tables


class Place(NamedTuple):
    """An entry of a launch day."""

    day_id: str
    entry_id: str


def places(connection: sa.Connection, assessment_id: str) -> tuple[Place, ...]:
    """Entries whose current assessment it is or, by their rulings, flights and last passes, was once.

    Mostly one; a copy of a day has the same assessments. None where it was replaced long ago and nothing rests on it.
    """
    now, ruling, flight, moved = tables.current_assessment, tables.ruling, tables.flight, tables.moved
    columns = (
        (now, now.c.assessment_id), (ruling, ruling.c.assessment_id), (flight, flight.c.assessment_id),
        (moved, moved.c.before_id), (moved, moved.c.after_id),
    )  # fmt: skip
    asked = sa.union(
        *(sa.select(table.c.day_id, table.c.entry_id).where(column == assessment_id) for table, column in columns)
    )
    return tuple(sorted(Place(row.day_id, row.entry_id) for row in connection.execute(asked)))
