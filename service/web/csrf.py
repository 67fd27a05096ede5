"""That a form was sent from one of our own pages: a secret in the session, repeated in a hidden field.

Programs carry a token in a header, which no foreign page can make a browser send; they need none.
"""

from __future__ import annotations

import hmac
import secrets

from flask import Flask, request, session
from markupsafe import Markup

from service.web.errors import StaleForm

FIELD = "csrf"
_HARMLESS = ("GET", "HEAD", "OPTIONS", "TRACE")


def token() -> str:
    """The session's secret."""
    if FIELD not in session:
        session[FIELD] = secrets.token_urlsafe(24)
    return session[FIELD]


def field() -> Markup:
    """The hidden field that every form carries."""
    return Markup('<input type="hidden" name="{}" value="{}">').format(FIELD, token())


def check() -> None:
    """Before each request that changes something: refuse a form that was not made here."""
    if request.method in _HARMLESS or request.url_rule is None or request.path.startswith("/api/"):
        return
    expected, found = session.get(FIELD, ""), request.form.get(FIELD, "")
    if not expected or not hmac.compare_digest(expected.encode(), found.encode("utf-8", "replace")):
        raise StaleForm()


def install(app: Flask) -> None:
    """Check every form."""
    app.before_request(check)
    app.jinja_env.globals["csrf_field"] = field
