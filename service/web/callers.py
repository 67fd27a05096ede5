"""Who is asking: nobody, a person who signed in, a program with a person's token, a flyer with a private link."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from flask import current_app, g, request, session

from service.store import NotFound, Store
from service.store.people import EVERY_DAY, Person
from service.store.tokens import Link
from service.web.errors import NotSignedIn

SIGNED_IN_S = 12 * 3600.0  # a long day on the field
LINKS_KEPT = 12  # private links that one browser holds at a time; the oldest gives way


def the_store() -> Store:
    """The store of the running app."""
    return current_app.extensions["store"]


@dataclass
class Caller:
    """Who asks. Roles are read from the store once a request: one taken away ends at once."""

    person: Person | None = None
    links: tuple[Link, ...] = ()
    _roles: dict[str, frozenset[str]] = field(default_factory=dict)

    def roles(self, day_id: str = EVERY_DAY) -> frozenset[str]:
        """What the person may do on a launch day; with "" on every one."""
        if self.person is None:
            return frozenset()
        if day_id not in self._roles:
            self._roles[day_id] = frozenset(the_store().people.roles(self.person.id, day_id))
        return self._roles[day_id]

    def holds(self, day_id: str, entry_id: str) -> bool:
        """Whether a private link of this entry is held."""
        return any(link.day_id == day_id and link.entry_id == entry_id for link in self.links)

    def name(self, entry_id: str = "") -> str:
        """What the audit trail calls the caller."""
        if self.person is not None:
            return self.person.login
        return f"flyer {entry_id}".strip() if entry_id else "flyer"


def caller() -> Caller:
    """Who asks in this request."""
    if "caller" not in g:
        g.caller = _by_token() if request.path.startswith("/api/") else _by_session()
    return g.caller


def _by_token() -> Caller:
    """A program's token is a person's, or that of a private link."""
    given = request.headers.get("Authorization")
    if given is None:
        return Caller()
    kind, _, token = given.partition(" ")
    token = token.strip()
    if kind.lower() == "bearer" and token:
        store = the_store()
        try:
            return Caller(store.people.by_token(token))
        except NotFound:
            pass
        try:
            return Caller(links=(store.links.open(token),))
        except NotFound:
            pass
    raise NotSignedIn("Found no token in force in the Authorization header; expected Bearer and a token.")


def _by_session() -> Caller:
    store = the_store()
    found = Caller()
    signed: Any = session.get("person")
    if isinstance(signed, dict):
        now = current_app.config["RANGEHAND"].clock().timestamp()
        try:
            person = store.people.get(signed["id"])
        except NotFound:
            person = None
        lasts = 0.0 <= now - signed.get("since", 0.0) < SIGNED_IN_S
        if person is not None and person.active and person.epoch == signed["epoch"] and lasts:
            found.person = person
        else:
            session.pop("person")
    opened = []
    kept = []
    for token in session.get("links", []):
        try:
            opened.append(store.links.open(token))
            kept.append(token)
        except NotFound:
            continue
    if len(kept) != len(session.get("links", [])):
        session["links"] = kept
    found.links = tuple(opened)
    return found


def remember_person(person: Person) -> None:
    """Sign in: a new session, which keeps the private links that the browser held."""
    links = session.get("links", [])
    session.clear()
    session.permanent = True
    session["person"] = {
        "id": person.id,
        "epoch": person.epoch,
        "since": current_app.config["RANGEHAND"].clock().timestamp(),
    }
    if links:
        session["links"] = links


def remember_link(token: str) -> None:
    """Let this browser see and mend the entry that the link belongs to."""
    session.permanent = True
    held = [each for each in session.get("links", []) if each != token]
    session["links"] = [*held, token][-LINKS_KEPT:]
