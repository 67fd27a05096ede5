"""Who does what on a launch day: accounts, roles, tokens, and the flyers' private links."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for

from service.store import AlreadyThere, NotFound, Refused
from service.store.people import EVERY_DAY
from service.web.access import access
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.forms import Form, FormField
from service.web.organise import PARTS
from service.web.pages.people import passwords
from service.web.passwords import made_password
from service.web.reader import units

bp = Blueprint("staff", __name__)

ROLES = (("rso", "range safety officer"), ("organiser", "organiser"))
GRANT = (
    FormField("/login", "Login of an account", needed=True),
    FormField("/role", "Role on this day", "choice", choices=ROLES),
)
NEW = (
    FormField("/account/login", "Login", needed=True, help="Small letters, digits, dots, dashes."),
    FormField("/account/name", "Name", needed=True, help="As it is to stand on signed sheets."),
    FormField("/account/role", "Role on this day", "choice", choices=ROLES),
)


@bp.get("/days/<day_id>/people")
@access("organiser")
def show(day_id: str):
    """Roles on this day, and the private links in force."""
    return _page(day_id)


@bp.post("/days/<day_id>/people/roles")
@access("organiser")
def grant(day_id: str):
    """Give an account a role on this day."""
    form = Form.read(GRANT, request.form, units())
    given = form.document()
    try:
        if not form.faulty:
            person = the_store().people.by_login(given["login"])
            if not person.active:
                raise NotFound("found a closed account")
            the_store().people.grant(person.id, given["role"], day_id, caller().name())
            return redirect(url_for("staff.show", day_id=day_id), 303)
    except NotFound:
        form.add("/login", f'found no open account "{given["login"][:40]}"; expected one, or make it below')
    except Refused as error:
        form.refuse_error(error)
    return _page(day_id, grant=form), 422


@bp.post("/days/<day_id>/people/roles/take")
@access("organiser")
def take(day_id: str):
    """Take a role on this day away. Roles on every day are not this page's to take."""
    person_id, role = request.form.get("person", ""), request.form.get("role", "")
    if role not in dict(ROLES):
        raise Misfit(f'Found the role "{role[:40]}"; expected one of {", ".join(dict(ROLES))}.')
    the_store().people.take_role(person_id, role, day_id, caller().name())  # type: ignore[arg-type]
    return redirect(url_for("staff.show", day_id=day_id), 303)


@bp.post("/days/<day_id>/people/new")
@access("organiser")
def new(day_id: str):
    """Make an account with a role on this day; its first password is shown this once."""
    form = Form.read(NEW, request.form, units())
    given = form.document().get("account", {})
    if not form.faulty:
        password = made_password()
        try:
            person = the_store().people.add(
                given["login"],
                given["name"],
                passwords().hash(password),
                caller().name(),
                roles={given["role"]: day_id},
                first_password=True,
            )
            return _page(day_id, told=(person.login, password, "new"))
        except AlreadyThere as error:
            form.add("/account/login", str(error))
        except Refused as error:
            for problem in error.problems:
                at = "/account/name" if "name" in problem.at else "/account/login"
                form.add(at, f"found {problem.found}; expected {problem.expected}")
    return _page(day_id, new=form), 422


@bp.post("/days/<day_id>/entries/<entry_id>/links/end")
@access("organiser")
def end_links(day_id: str, entry_id: str):
    """End every private link of an entry."""
    store, by = the_store(), caller().name()
    for link in store.links.all(day_id, entry_id):
        if link.revoked_at is None:
            store.links.revoke(day_id, entry_id, link.id, by)
    return redirect(url_for("staff.show", day_id=day_id) + "#links", 303)


@bp.post("/people/<person_id>/active")
@access("organiser")
def set_active(person_id: str):
    """Close an account, which ends its sessions and tokens, or open it again."""
    the_store().people.set_active(person_id, request.form.get("active") == "true", caller().name())
    return redirect(_back(), 303)


@bp.post("/people/<person_id>/first-password")
@access("organiser")
def first_password(person_id: str):
    """Give an account another first password, for who has forgotten theirs; shown this once. Its sessions end."""
    day_id = request.form.get("day_id", "")
    the_store().days.header(day_id)
    login, password = passwords().give_another(the_store(), person_id, caller().name())
    return _page(day_id, told=(login, password, "forgotten"))


@bp.post("/people/<person_id>/tokens/<token_id>/end")
@access("organiser")
def end_token(person_id: str, token_id: str):
    """End a token of somebody else."""
    the_store().people.revoke_token(person_id, token_id, caller().name())
    return redirect(_back(), 303)


def _back() -> str:
    day_id = request.form.get("day_id", "")
    known = {each.id for each in the_store().days.all()}
    return url_for("staff.show", day_id=day_id) if day_id in known else url_for("people.account")


def _page(
    day_id: str, *, grant: Form | None = None, new: Form | None = None, told: tuple[str, str, str] | None = None
) -> str:
    store = the_store()
    everywhere = "organiser" in caller().roles(EVERY_DAY)
    roles: dict[str, Any] = store.people.all_roles()
    lines = []
    for person in store.people.all():
        held = sorted(role for role, day in roles.get(person.id, ()) if day == day_id)
        always = sorted(role for role, day in roles.get(person.id, ()) if day == EVERY_DAY)
        if held or always or everywhere:
            tokens = store.people.tokens(person.id) if everywhere else ()
            lines.append((person, held, always, [each for each in tokens if each.revoked_at is None]))
    links = []
    for line in store.desk(day_id).lines:
        in_force = [each for each in store.links.all(day_id, line.record.id) if each.revoked_at is None]
        links.append((line.record, in_force))
    return render_template(
        "staff.html",
        day_id=day_id,
        day=store.days.header(day_id).document,
        parts=PARTS,
        lines=lines,
        links=links,
        words=dict(ROLES),
        everywhere=everywhere,
        grant=grant or Form.empty(GRANT, units()),
        new=new or Form.empty(NEW, units()),
        told=told,
    )
