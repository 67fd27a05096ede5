"""Who may use each route. A route without a declaration stops the app from being made.

    @bp.get("/days/<day_id>/desk")
    @access("rso", "organiser")
    def desk(day_id: str): ...

`anyone` is everybody; `signed_in` any account; `rso` and `organiser` hold that role on the launch day in the
address, or on every one; `flyer` holds a private link of the entry in the address. Any one of those named is enough.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from flask import Flask, current_app, request

from service.web.callers import Caller, caller
from service.web.errors import Denied, FirstPassword, NotSignedIn

Who = Literal["anyone", "signed_in", "flyer", "rso", "organiser"]
V = TypeVar("V", bound=Callable[..., Any])

BODY_LIMIT = 600_000  # bytes; one entry with its thrust curve is far below
DOCUMENT_LIMIT = 5_100_000  # a whole launch day; planning reads up to 5 MB

_WITH_FIRST_PASSWORD = {  # all that is open to an account until its owner has chosen a password
    "static", "people.account", "people.change_password", "people.sign_in", "people.signed_in", "people.sign_out",
    "about.health", "about.theme", "about.set_units",
}  # fmt: skip


@dataclass(frozen=True)
class Access:
    """What a route declares."""

    who: tuple[Who, ...]
    body_limit: int = BODY_LIMIT

    def admits(self, asking: Caller, day_id: str, entry_id: str) -> bool:
        """Whether the caller may go on."""
        if "anyone" in self.who:
            return True
        if "signed_in" in self.who and asking.person is not None:
            return True
        if "flyer" in self.who and entry_id and asking.holds(day_id, entry_id):
            return True
        return any(role in self.who for role in asking.roles(day_id))


def access(*who: Who, body_limit: int = BODY_LIMIT) -> Callable[[V], V]:
    """Declare who may use a route, and how much it takes. [bytes]"""
    if not who:
        raise TypeError("access() names nobody; say who may use the route")

    def declare(view: V) -> V:
        view.access = Access(who, body_limit)  # type: ignore[attr-defined]
        return view

    return declare


def declared_by(app: Flask, endpoint: str) -> Access:
    """What a route declares."""
    view: Any = app.view_functions[endpoint]
    return view.access


def guard() -> None:
    """Before each request: refuse whoever may not use the route."""
    if request.url_rule is None:
        return  # no such address, or not by this method: answered as such
    declared = declared_by(current_app, request.url_rule.endpoint)
    request.max_content_length = declared.body_limit
    asking = caller()
    if asking.person is not None and asking.person.first_password and request.endpoint not in _WITH_FIRST_PASSWORD:
        raise FirstPassword()
    given = request.view_args or {}
    if declared.admits(asking, given.get("day_id", ""), given.get("entry_id", "")):
        return
    with_link = asking.links and ("flyer" in declared.who or request.path.startswith("/api/"))
    if asking.person is None and not with_link:  # a page's visitor may have an account besides the links
        raise NotSignedIn(f"This is for {who_words(declared.who)}.")
    raise Denied(f"This is for {who_words(declared.who)}.")


_WORDS: dict[Who, str] = {
    "anyone": "everybody",
    "signed_in": "whoever is signed in",
    "flyer": "the flyer with the entry's private link",
    "rso": "the range safety officer of this launch day",
    "organiser": "an organiser of this launch day",
}


def who_words(who: tuple[Who, ...]) -> str:
    """Who may, in words."""
    words = [_WORDS[each] for each in who]
    return (", ".join(words[:-1]) + " and " if len(words) > 1 else "") + words[-1]


def table(app: Flask) -> Iterator[tuple[str, str, Access]]:
    """Every route: method, address, who may use it. Sorted by address."""
    rows = []
    for rule in app.url_map.iter_rules():
        declared = declared_by(app, rule.endpoint)
        rows += [(method, rule.rule, declared) for method in rule.methods or () if method not in ("HEAD", "OPTIONS")]
    yield from sorted(rows, key=lambda row: (row[1], row[0]))


def undeclared(app: Flask) -> list[str]:
    """Addresses that do not say who may use them."""
    rules = app.url_map.iter_rules()
    return sorted(rule.rule for rule in rules if not hasattr(app.view_functions[rule.endpoint], "access"))
