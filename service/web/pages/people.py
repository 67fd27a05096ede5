"""Signing in and out, and one's own account: password and tokens for programs."""

from __future__ import annotations

from flask import Blueprint, current_app, redirect, render_template, request, session, url_for

from service.web.access import access
from service.web.callers import caller, remember_person, the_store
from service.web.forms import Form, FormField
from service.web.limits import address, buckets
from service.web.local_path import local_path
from service.web.passwords import LEAST_LENGTH, Passwords, password_fault
from service.web.reader import units
from service.web.sent_again import SIGN_IN, kept_again, kept_page

bp = Blueprint("people", __name__)

NEW_PASSWORD = (
    FormField("/old", "Password as it is", "secret", needed=True, autocomplete="current-password"),
    FormField(
        "/new",
        "New password",
        "secret",
        needed=True,
        help=f"{LEAST_LENGTH} characters or more; a few plain words make a good one.",
        autocomplete="new-password",
    ),
)
TOKEN = (FormField("/label", "What the token is for", needed=True),)


def passwords() -> Passwords:
    """Makes and checks hashes."""
    return current_app.extensions["passwords"]


@bp.get("/sign-in")
@access("anyone")
def sign_in():
    """The form."""
    return _sign_in_page(Form.empty(SIGN_IN, units()))


@bp.post("/sign-in")
@access("anyone")
def signed_in():
    """Check the password; go on to where the person wanted to go."""
    form = Form.read(SIGN_IN, request.form, units())
    given = form.document()
    if form.faulty:
        return _sign_in_page(form), 422
    rates = current_app.config["RANGEHAND"].rates
    person = passwords().sign_in(
        the_store(), buckets(), rates, given["login"], request.form.get("/password", ""), address()
    )
    kept = kept_again(request.form)
    if person is None:
        form.add("/password", "This login and this password do not belong together.")
        return _sign_in_page(form), 403
    remember_person(person)
    if kept is not None:
        return kept_page(kept, "You are signed in.")
    return redirect(local_path(request.form.get("next", "")), 303)


def _sign_in_page(form: Form) -> str:
    following = request.form.get("next") or request.args.get("next", "")
    return render_template(
        "sign_in.html",
        form=form,
        following=local_path(following) if following else "",
        kept=kept_again(request.form),
    )


@bp.post("/sign-out")
@access("anyone")
def sign_out():
    """End the session; the private links of this browser stay."""
    links = session.get("links", [])
    session.clear()
    if links:
        session.permanent = True
        session["links"] = links
    return redirect(url_for("days.index"), 303)


@bp.get("/account")
@access("signed_in")
def account():
    """One's own account."""
    return _account()


@bp.post("/account/password")
@access("signed_in")
def change_password():
    """A new password ends every other session."""
    person = caller().person
    assert person is not None  # access() saw to it
    form = Form.read(NEW_PASSWORD, request.form, units())
    form.document()
    old, new = request.form.get("/old", ""), request.form.get("/new", "")
    if not form.faulty and not passwords().fits(old, person.password_hash):
        form.add("/old", "This is not the password as it is.")
    if not form.faulty and password_fault(new, old):
        form.add("/new", password_fault(new, old))
    if form.faulty:
        return _account(password=form), 422
    remember_person(the_store().people.set_password_hash(person.id, passwords().hash(new), person.login))
    return redirect(url_for("people.account"), 303)


@bp.post("/account/tokens")
@access("signed_in")
def new_token():
    """A token for a program, told this once."""
    person = caller().person
    assert person is not None
    form = Form.read(TOKEN, request.form, units())
    given = form.document()
    if form.faulty:
        return _account(token=form), 422
    made = the_store().people.new_token(person.id, given["label"], person.login)
    return _account(told=made)


@bp.post("/account/tokens/<token_id>/revoke")
@access("signed_in")
def revoke_token(token_id: str):
    """End a token."""
    person = caller().person
    assert person is not None
    the_store().people.revoke_token(person.id, token_id, person.login)
    return redirect(url_for("people.account"), 303)


def _account(password: Form | None = None, token: Form | None = None, told: str = "") -> str:
    person = caller().person
    assert person is not None
    return render_template(
        "account.html",
        person=person,
        tokens=[each for each in the_store().people.tokens(person.id) if each.revoked_at is None],
        password=password or Form.empty(NEW_PASSWORD, units()),
        token=token or Form.empty(TOKEN, units()),
        told=told,
    )
