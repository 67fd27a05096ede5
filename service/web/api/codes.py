"""The codes of a launch day, and who has compared them with the text in force."""

from __future__ import annotations

from flask import Blueprint, Response

from service.codes.load import editions
from service.web.access import access
from service.web.api.reading import answer, known_query, page_of
from service.web.api.shapes import Page
from service.web.api.staff_shapes import DayCodeTold
from service.web.callers import caller, the_store
from service.web.confirmed import confirm, confirmations
from service.web.names import name_of
from service.web.openapi import PAGE, PREFIX, described
from service.web.reader import now

bp = Blueprint("api_codes", __name__, url_prefix=f"{PREFIX}/days/<day_id>/codes")


@bp.get("")
@access("organiser")
@described("The codes of a day", answers={200: Page[DayCodeTold]}, query=PAGE)
def list_codes(day_id: str) -> Response:
    """Each with its edition, and who has compared that with the text in force."""
    known_query(*PAGE)
    store = the_store()
    known = confirmations(store, day_id)
    lines = [
        DayCodeTold(
            id=each.id,
            title=each.title,
            edition=each.edition,
            compared_by=name_of(known[each.id].by) if each.id in known else None,
            compared_at=known[each.id].at.isoformat() if each.id in known else None,
        )
        for each in editions(list(store.days.header(day_id).document.codes))
    ]
    items, where = page_of(lines)
    return answer(Page[DayCodeTold](items=list(items), **where))


@bp.put("/<code_id>/comparison")
@access("organiser")
@described("Say that a code was compared", answers={204: None}, problems=(409,))
def put_comparison(day_id: str, code_id: str) -> Response:
    """With the text in force where the day flies. What was said first stands."""
    known_query()
    confirm(the_store(), day_id, code_id, True, caller().name(), now())
    return Response(status=204)


@bp.delete("/<code_id>/comparison")
@access("organiser")
@described("Say that a code was not compared after all", answers={204: None}, problems=(409,))
def delete_comparison(day_id: str, code_id: str) -> Response:
    """Nothing happens where nobody said so."""
    known_query()
    confirm(the_store(), day_id, code_id, False, caller().name(), now())
    return Response(status=204)
