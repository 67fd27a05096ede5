"""One's own account: its tokens and its password."""

from __future__ import annotations

from flask import Blueprint, Response, current_app

from service.planning.errors import Fault
from service.store.people import Person
from service.web.access import access
from service.web.api.reading import answer, body, known_query, page_of
from service.web.api.shapes import Page
from service.web.api.staff_shapes import AccountTold, NewToken, PasswordAsked, TokenAsked, TokenTold
from service.web.callers import caller, the_store
from service.web.errors import Misfit, TooOften
from service.web.limits import address, buckets
from service.web.openapi import PAGE, PREFIX, described
from service.web.pages.people import passwords
from service.web.passwords import password_fault

bp = Blueprint("api_account", __name__, url_prefix=f"{PREFIX}/account")


@bp.get("")
@access("signed_in")
@described("One's own account", answers={200: AccountTold})
def get_account() -> Response:
    """Whose token this is."""
    known_query()
    person = _person()
    roles = sorted(the_store().people.all_roles().get(person.id, ()))
    listed = [{"role": role, "day": day} for role, day in roles]
    return answer(AccountTold(login=person.login, name=person.name, units=person.units, roles=listed))  # type: ignore[arg-type]


@bp.put("/password")
@access("signed_in")
@described("Change one's own password", body=PasswordAsked, answers={204: None})
def put_password() -> Response:
    """Ends every session; tokens stay in force."""
    known_query()
    asked, person = body(PasswordAsked), _person()
    wait_s = buckets().take(("password of", person.id, address()), current_app.config["RANGEHAND"].rates.sign_in_as)
    if wait_s > 0.0:
        raise TooOften(wait_s, "tries")
    if not passwords().fits(asked.old, person.password_hash):
        raise Misfit("This is not the password as it is.", [Fault("/old", "another password", "the one as it is")])
    wrong = password_fault(asked.new, asked.old)
    if wrong:
        found, _, expected = wrong.removeprefix("found ").partition("; expected ")
        raise Misfit(f"New password: {wrong}.", [Fault("/new", found, expected)])
    the_store().people.set_password_hash(person.id, passwords().hash(asked.new), person.login)
    return Response(status=204)


@bp.get("/tokens")
@access("signed_in")
@described("One's own tokens", answers={200: Page[TokenTold]}, query=PAGE)
def list_tokens() -> Response:
    """Those in force, without themselves."""
    known_query(*PAGE)
    kept = [each for each in the_store().people.tokens(_person().id) if each.revoked_at is None]
    items, where = page_of(kept)
    lines = [TokenTold(id=e.id, label=e.label, created_at=e.created_at, expires_at=e.expires_at) for e in items]
    return answer(Page[TokenTold](items=lines, **where))


@bp.post("/tokens")
@access("signed_in")
@described("Make a token", body=TokenAsked, answers={201: NewToken})
def add_token() -> Response:
    """It is told this once."""
    known_query()
    asked, person = body(TokenAsked), _person()
    return answer(NewToken(token=the_store().people.new_token(person.id, asked.label, person.login)), 201)


@bp.delete("/tokens/<token_id>")
@access("signed_in")
@described("End a token of one's own", answers={204: None})
def delete_token(token_id: str) -> Response:
    """It stays ended."""
    known_query()
    person = _person()
    the_store().people.revoke_token(person.id, token_id, person.login)
    return Response(status=204)


def _person() -> Person:
    person = caller().person
    assert person is not None  # access() saw to it
    return person
