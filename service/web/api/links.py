"""Private links of entries, and erasing what is kept of a flyer."""

from __future__ import annotations

from flask import Blueprint, Response, url_for

from service.web.access import access
from service.web.api.reading import answer, based_on, known_query, page_of
from service.web.api.shapes import Page
from service.web.api.staff_shapes import ErasedTold, LinkTold, NewLink
from service.web.callers import caller, the_store
from service.web.openapi import PAGE, PREFIX, described

bp = Blueprint("api_links", __name__, url_prefix=f"{PREFIX}/days/<day_id>/entries/<entry_id>")


@bp.get("/links")
@access("flyer", "rso", "organiser")
@described("Private links in force", answers={200: Page[LinkTold]}, query=PAGE)
def list_links(day_id: str, entry_id: str) -> Response:
    """Without their tokens."""
    known_query(*PAGE)
    items, where = page_of([each for each in the_store().links.all(day_id, entry_id) if each.revoked_at is None])
    return answer(Page[LinkTold](items=[LinkTold(id=e.id, created_at=e.created_at) for e in items], **where))


@bp.post("/links")
@access("flyer", "rso", "organiser")
@described("A new private link in place of the old ones", answers={201: NewLink})
def new_link(day_id: str, entry_id: str) -> Response:
    """Ends every link of the entry; the new one's token is told this once."""
    known_query()
    store, by = the_store(), caller().name(entry_id)
    _end(day_id, entry_id, by)
    token = store.links.new(day_id, entry_id, by)
    return answer(NewLink(link_token=token, private_link=url_for("entries.open_link", token=token)), 201)


@bp.delete("/links")
@access("organiser")
@described("End every private link", answers={204: None})
def end_links(day_id: str, entry_id: str) -> Response:
    """Who holds one can no longer open the entry."""
    known_query()
    _end(day_id, entry_id, caller().name())
    return Response(status=204)


@bp.post("/erase")
@access("organiser")
@described("Erase a flyer's personal data", answers={200: ErasedTold}, matched=True)
def erase(day_id: str, entry_id: str) -> Response:
    """The names go from every version of the entry, for good; links end. Signed sheets keep what they print."""
    known_query()
    store = the_store()
    current = store.entries.get(day_id, entry_id).revision
    done = store.entries.erase(day_id, entry_id, caller().name(), based_on=based_on(current))
    return answer(ErasedTold(revisions=done.revisions, links=done.links, sheets_that_may_print_it=done.sheets))


def _end(day_id: str, entry_id: str, by: str) -> None:
    for link in the_store().links.all(day_id, entry_id):
        if link.revoked_at is None:
            the_store().links.revoke(day_id, entry_id, link.id, by)
