"""What the pages and the API refuse, and how every refusal is answered.

WebError            status, title, a sentence, the places it points to
├── NotSignedIn     nobody is signed in, or the token or link is not valid (401)
├── Denied          signed in, but this is not theirs to see or do (403)
│   └── FirstPassword   not before they have chosen a password of their own
├── TooOften        too many calls; says how long to wait (429)
├── BadForm         the page's form does not say what it has to (400)
│   └── StaleForm       its secret is out of date, or it was not sent from here
├── Unreadable      the body is no JSON (400), or of another kind (415)
├── Misfit          the body or a parameter is not what was asked for (422)
├── Superseded      what was worked out no longer holds: what it rested on has changed (409)
├── Outdated        If-Match names a revision that is no longer the newest (412)
└── Unconditional   a change without If-Match (428)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from service.planning.errors import DocumentRefused, Fault, pointer
from service.store import errors as store

KINDS: dict[str, tuple[int, str]] = {  # the part of the type after "#": status and title
    "bad-request": (400, "The request cannot be read"),
    "bad-form": (400, "This form is out of date"),
    "not-signed-in": (401, "Sign in first"),
    "denied": (403, "Not yours to see or change"),
    "not-found": (404, "Not found"),
    "method-not-allowed": (405, "This cannot be done here"),
    "already-there": (409, "There already"),
    "conflict": (409, "Somebody else was faster"),
    "superseded": (409, "What this rests on has changed"),
    "outdated": (412, "Somebody else was faster"),
    "too-large": (413, "Too large"),
    "wrong-kind": (415, "Not the kind of content that is read here"),
    "refused": (422, "Refused"),
    "out-of-stock": (422, "Not enough motors left"),
    "unconditional": (428, "Say which revision you change"),
    "too-often": (429, "Too many requests"),
    "failed": (500, "Something broke"),
    "busy": (503, "Busy"),
    "unavailable": (503, "The database cannot be used"),
}


class WebError(Exception):
    """Base of everything this package raises on purpose."""

    kind = "bad-request"

    def __init__(self, detail: str, faults: Iterable[Fault] = (), headers: Mapping[str, str] | None = None) -> None:
        self.detail = detail
        self.faults: Sequence[Fault] = tuple(faults)
        self.headers = dict(headers or {})
        super().__init__(detail)


class NotSignedIn(WebError):
    kind = "not-signed-in"


class Denied(WebError):
    kind = "denied"


class FirstPassword(Denied):
    def __init__(self) -> None:
        super().__init__("Your password was made by somebody else. Sign in and choose one of your own first.")


class TooOften(WebError):
    kind = "too-often"

    def __init__(self, wait_s: float, what: str = "requests from here") -> None:
        seconds = max(1, int(wait_s + 0.999))
        super().__init__(f"Too many {what}; try again in {seconds} s.", headers={"Retry-After": str(seconds)})


class BadForm(WebError):
    kind = "bad-form"


class StaleForm(BadForm):
    def __init__(self) -> None:
        super().__init__("This form was made before you signed in or out, or not here. Go back, reload, send it again.")


class Unreadable(WebError):
    kind = "bad-request"


class WrongKind(Unreadable):
    kind = "wrong-kind"


class Misfit(WebError):
    kind = "refused"


class Superseded(WebError):
    kind = "superseded"


class Outdated(WebError):
    kind = "outdated"


class Unconditional(WebError):
    kind = "unconditional"


def problem_of(kind: str, detail: str, faults: Iterable[Fault] = (), **more: Any) -> dict[str, Any]:
    """A problem (RFC 9457): type, title, status, detail, and a pointer to each place at fault.

    >>> problem_of("not-found", "found no such day")["status"]
    404
    """
    status, title = KINDS[kind]
    told: dict[str, Any] = {"type": f"/problems#{kind}", "title": title, "status": status, "detail": detail}
    listed = [{"pointer": f.pointer, "found": f.found, "expected": f.expected} for f in faults]
    if listed:
        told["errors"] = listed
    return told | more


def from_store(error: store.StoreError) -> tuple[str, list[Fault], dict[str, Any]]:
    """Kind, faults and further members for what the store refuses."""
    if isinstance(error, store.NotFound):
        return "not-found", [], {}
    if isinstance(error, store.AlreadyThere):
        return "already-there", [], {}
    if isinstance(error, store.Conflict):
        since = [
            {"revision": e.revision, "by": e.by, "at": e.at, "why": e.why, "changed": list(e.changed)}
            for e in error.since
        ]
        return "conflict", [], {"current": error.current, "since": since}
    if isinstance(error, store.Refused):
        kind = "out-of-stock" if isinstance(error, store.OutOfStock) else "refused"
        return kind, [Fault(pointer(p.at), p.found, p.expected) for p in error.problems], {}
    if isinstance(error, store.TooLarge):
        return "too-large", [], {}
    if isinstance(error, store.Busy):
        return "busy", [], {}
    return "unavailable", [], {}


def from_document(error: DocumentRefused) -> tuple[str, list[Fault]]:
    """Kind and faults of a refused document."""
    return "refused", list(error.faults)
