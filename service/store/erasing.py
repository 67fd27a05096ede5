"""Erasing what is kept of a flyer: the names go from every revision of the entry, its private links end."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa

from service.models.entry import Entry
from service.store import parts, tables, tokens
from service.store.contents import label_of
from service.store.database import Database
from service.store.personal import erased, is_erased, parted
from service.store.reading import forget
from service.store.versions import named, save, subject, text_of

KIND = "entry"
WHY = "personal data erased"


@dataclass(frozen=True)
class Erased:
    """What erasing did: revisions that lost their names, links that ended, signed sheets that still print them."""

    revisions: int
    links: int
    sheets: int


def erase_flyer(database: Database, day_id: str, entry_id: str, by: str, *, based_on: int) -> Erased:
    """Erase the flyer's and the responsible adult's name, in one change.

    The entry goes on under the name "erased" as a new revision, so that a form that was open before cannot bring
    the name back unseen. Its figures, rulings and flights stay, and so do signed sheets: they are papers.
    """
    table = tables.revision
    with database.write(named(by)) as change:
        row = parts.entry_row(change.connection, day_id, entry_id)
        called = subject(day_id, KIND, entry_id)
        text = erased(KIND, text_of(change.connection, day_id, KIND, entry_id, row.revision))
        entry = Entry.model_validate_json(text)
        new = save(
            change, day_id, KIND, entry_id, entry, based_on=based_on, current=row.revision, why=WHY, what="erased"
        )
        of_entry = (table.c.day_id == day_id, table.c.kind == KIND, table.c.id == entry_id)
        wiped = []
        for kept in change.connection.execute(sa.select(table).where(*of_entry, table.c.salt.is_not(None))).all():
            document = kept.document if is_erased(parted(KIND, kept.document)[1]) else erased(KIND, kept.document)
            which = (*of_entry, table.c.revision == kept.revision)
            change.connection.execute(table.update().where(*which).values(document=document, salt=None))
            wiped.append(label_of(table, dict(kept._mapping)))
        here = tables.entry.c.day_id == day_id, tables.entry.c.id == entry_id
        change.connection.execute(tables.entry.update().where(*here).values(revision=new))
        links = tokens.end_links(change, day_id, entry_id)
        change.record("erased", called, {"erased": sorted(wiped)})
        sheet = tables.sheet
        printed = sa.or_(sheet.c.entry_id == entry_id, sheet.c.entry_id.is_(None))
        asked = sa.select(sa.func.count()).select_from(sheet).where(sheet.c.day_id == day_id, printed)
        sheets = change.connection.execute(asked).scalar_one()
    forget()
    database.checkpoint()
    return Erased(len(wiped), links, sheets)
