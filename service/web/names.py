"""Names for the logins that the audit trail keeps: a page says who, not what they type to sign in."""

from __future__ import annotations

from flask import g

from service.web.callers import the_store

ROLE_WORDS = {"rso": "range safety officer", "organiser": "organiser", "flyer": "flyer"}


def name_of(by: str) -> str:
    """The name of an account by its login; whoever has none is told as the trail has it."""
    if "names" not in g:
        g.names = {person.login: person.name for person in the_store().people.all()}
    return g.names.get(by, by)


def with_role(by: str, role: str) -> str:
    """Name and role, as a signature tells them."""
    return f"{name_of(by)}, {ROLE_WORDS.get(role, role)}"
