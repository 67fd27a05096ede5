"""Who does what: accounts, roles on a launch day, tokens of others."""

from __future__ import annotations

from flask import Blueprint, Response

from service.store import NotFound
from service.store.people import EVERY_DAY, Person, Role
from service.web.access import access
from service.web.api.reading import answer, body, known_query, page_of
from service.web.api.shapes import Page
from service.web.api.staff_shapes import ActiveAsked, NewPerson, PersonAsked, PersonTold, StaffTold, TokenTold
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.openapi import PAGE, PREFIX, described
from service.web.pages.people import passwords
from service.web.passwords import made_password

bp = Blueprint("api_people", __name__, url_prefix=PREFIX)
DAY = "/days/<day_id>/people"


@bp.get(DAY)
@access("organiser")
@described("Who has a role on a day", answers={200: Page[StaffTold]}, query=PAGE)
def list_staff(day_id: str) -> Response:
    """By login; roles held on this day, and on every day."""
    known_query(*PAGE)
    the_store().days.header(day_id)
    given = the_store().people.all_roles()
    lines = []
    for person in the_store().people.all():
        here: list[str] = sorted(role for role, day in given.get(person.id, ()) if day == day_id)
        always: list[str] = sorted(role for role, day in given.get(person.id, ()) if day == EVERY_DAY)
        if here or always:
            lines.append(
                StaffTold(login=person.login, name=person.name, active=person.active, here=here, every_day=always)
            )
    items, where = page_of(lines)
    return answer(Page[StaffTold](items=list(items), **where))


@bp.post(DAY)
@access("organiser")
@described("Make an account with a role on a day", body=PersonAsked, answers={201: NewPerson}, problems=(409,))
def add_person(day_id: str) -> Response:
    """Its first password is told this once, and has to be changed before anything else opens."""
    known_query()
    the_store().days.header(day_id)
    asked, password = body(PersonAsked), made_password()
    person = the_store().people.add(
        asked.login,
        asked.name,
        passwords().hash(password),
        caller().name(),
        roles={asked.role: day_id},
        first_password=True,
    )
    return answer(NewPerson(id=person.id, login=person.login, first_password=password), 201)


@bp.put(f"{DAY}/<login>/roles/<role>")
@access("organiser")
@described("Give a role on a day", answers={204: None}, problems=(422,))
def grant_role(day_id: str, login: str, role: str) -> Response:
    """To an account that is there; nothing happens where it is given already."""
    known_query()
    person = _open(login)
    the_store().people.grant(person.id, _role(role), day_id, caller().name())
    return Response(status=204)


@bp.delete(f"{DAY}/<login>/roles/<role>")
@access("organiser")
@described("Take a role on a day away", answers={204: None}, problems=(422,))
def take_role(day_id: str, login: str, role: str) -> Response:
    """A role on every day is not a day's to take."""
    known_query()
    the_store().days.header(day_id)
    person = the_store().people.by_login(login)
    the_store().people.take_role(person.id, _role(role), day_id, caller().name())
    return Response(status=204)


@bp.get("/people")
@access("organiser")
@described("Every account", answers={200: Page[PersonTold]}, query=PAGE)
def list_people() -> Response:
    """For who organises every day."""
    known_query(*PAGE)
    items, where = page_of(the_store().people.all())
    lines = [PersonTold(id=e.id, login=e.login, name=e.name, active=e.active) for e in items]
    return answer(Page[PersonTold](items=lines, **where))


@bp.put("/people/<person_id>/active")
@access("organiser")
@described("Open or close an account", body=ActiveAsked, answers={204: None})
def set_active(person_id: str) -> Response:
    """A closed one ends its sessions and tokens. Refused where nobody would be left to organise."""
    known_query()
    the_store().people.set_active(person_id, body(ActiveAsked).active, caller().name())
    return Response(status=204)


@bp.post("/people/<person_id>/first-password")
@access("organiser")
@described("Give an account another first password", answers={201: NewPerson})
def first_password(person_id: str) -> Response:
    """For who has forgotten theirs: told this once, to be changed before anything else opens. Its sessions end."""
    known_query()
    login, password = passwords().give_another(the_store(), person_id, caller().name())
    return answer(NewPerson(id=person_id, login=login, first_password=password), 201)


@bp.get("/people/<person_id>/tokens")
@access("organiser")
@described("Tokens of somebody", answers={200: Page[TokenTold]}, query=PAGE)
def tokens_of(person_id: str) -> Response:
    """Those in force, without themselves."""
    known_query(*PAGE)
    the_store().people.get(person_id)
    items, where = page_of([each for each in the_store().people.tokens(person_id) if each.revoked_at is None])
    lines = [TokenTold(id=e.id, label=e.label, created_at=e.created_at, expires_at=e.expires_at) for e in items]
    return answer(Page[TokenTold](items=lines, **where))


@bp.delete("/people/<person_id>/tokens/<token_id>")
@access("organiser")
@described("End a token of somebody", answers={204: None})
def end_token(person_id: str, token_id: str) -> Response:
    """It stays ended."""
    known_query()
    the_store().people.revoke_token(person_id, token_id, caller().name())
    return Response(status=204)


def _open(login: str) -> Person:
    person = the_store().people.by_login(login)
    if not person.active:
        raise NotFound(f'found no open account "{login[:40]}"')
    return person


def _role(role: str) -> Role:
    if role not in ("rso", "organiser"):
        raise Misfit(f'Found the role "{role[:40]}"; expected rso or organiser.')
    return role  # type: ignore[return-value]
