"""What somebody sent when a sign-in or a form's secret had run out: kept on the page, to be sent again from there.

Only what one of our own pages sent is kept, as the browser says (Origin, else Referer): else a foreign page could put
words into somebody's mouth. Passwords are never kept. Neither are files: the page asks for them again, by their names.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlsplit

from flask import Response, current_app, make_response, render_template, request
from werkzeug.exceptions import HTTPException

from service.web.access import declared_by
from service.web.callers import caller
from service.web.csrf import FIELD
from service.web.errors import KINDS, NotSignedIn, StaleForm, WebError
from service.web.forms import Form, FormField
from service.web.local_path import local_path
from service.web.places import place_words
from service.web.reader import units

MOST_CHARACTERS = 200_000
SHOWN_CHARACTERS = 200
LONGEST_NAME = 80  # of a file
SECRETS = ("password", "old", "new", "passphrase")
UNSAID = ("based_on", "assessment", "reserve_before", "next")  # what a page carries along unseen
SIGN_IN = (
    FormField("/login", "Login", needed=True, autocomplete="username"),
    FormField("/password", "Password", "secret", needed=True, autocomplete="current-password"),
)
NOT_KEPT = ("/sign-in", "/sign-out", "/units")


@dataclass(frozen=True)
class Kept:
    """Fields as they were sent, and where to; of files the field and the name."""

    path: str
    fields: tuple[tuple[str, str], ...]
    files: tuple[tuple[str, str], ...] = ()

    def shown(self) -> list[tuple[str, str]]:
        """What a person typed or chose, each under a name in words."""
        told = [(name, value) for name, value in self.fields if value.strip() and not _unseen(name)]
        return [(place_words(name), _cut("yes" if value == "true" else value)) for name, value in told]

    def text(self) -> str:
        """As one hidden field carries it."""
        return json.dumps({"path": self.path, "fields": self.fields, "files": self.files})


def kept_of_request() -> Kept | None:
    """What this request brought; None where nothing may be kept of it."""
    if request.method != "POST" or request.path in NOT_KEPT or not _from_here():
        return None
    try:
        sent = request.files.items(multi=True)
        files = tuple((name, _named(file.filename)) for name, file in sent if file.filename)
        fields = tuple((name, value) for name, value in request.form.items(multi=True) if name != FIELD)
    except HTTPException:  # larger than the address takes
        return None
    if any(name.rpartition("/")[2] in SECRETS for name, _ in fields):
        return None
    if not (fields or files) or sum(len(name) + len(value) for name, value in fields) > MOST_CHARACTERS:
        return None
    return Kept(request.path, fields, files)


def kept_again(sent: Mapping[str, str]) -> Kept | None:
    """What the page of signing in carried along; None where it carried nothing."""
    try:
        told = json.loads(sent.get("kept", ""))
        path = local_path(str(told["path"]))
        fields = tuple((str(name), str(value)) for name, value in told["fields"])
        files = tuple((str(name), _named(str(file))) for name, file in told.get("files", ()))
    except (ValueError, TypeError, KeyError):
        return None
    return Kept(path, fields, files) if path == told["path"] else None


def page_of_kept(error: WebError) -> Response | None:
    """The page that keeps what this request brought; None where it keeps nothing, or signing in would not help."""
    signed_in = caller().person is not None
    kept = None if signed_in and not isinstance(error, StaleForm) else kept_of_request()
    if kept is None:
        return None
    status, title = KINDS[error.kind]
    if isinstance(error, StaleForm):
        why = "It was typed into a form that has run out: you signed in or out since, or it lay open for very long."
        return make_response(kept_page(kept, why, title), status)
    declared = declared_by(current_app, request.endpoint or "")
    page = render_template(
        "kept.html",
        heading=KINDS[NotSignedIn.kind][1],
        kept=kept,
        why=error.detail,
        form=Form.empty(SIGN_IN, units()),
        for_flyer="flyer" in declared.who,
    )
    return make_response(page, status)


def kept_page(kept: Kept, why: str, heading: str = "Not sent yet") -> str:
    """What was kept, with the button that sends it."""
    return render_template("kept.html", heading=heading, kept=kept, why=why, form=None, for_flyer=False)


def _from_here() -> bool:
    origin = request.headers.get("Origin") or request.headers.get("Referer") or ""
    return urlsplit(origin).netloc == request.host


def _unseen(name: str) -> bool:
    return name in UNSAID or name.endswith("based_on")


def _named(file: str) -> str:
    return file[:LONGEST_NAME]


def _cut(text: str) -> str:
    more = len(text) - SHOWN_CHARACTERS
    return f"{text[:SHOWN_CHARACTERS]} and {more} characters more" if more > 0 else text
