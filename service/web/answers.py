"""Turns what was raised into an answer: a page for people, a problem (RFC 9457) for programs, one content for both."""

from __future__ import annotations

import json
import logging
import secrets
from typing import Any

from flask import Flask, Response, make_response, redirect, render_template, request, url_for
from werkzeug.exceptions import HTTPException

from service.planning.errors import DocumentRefused
from service.store.errors import StoreError
from service.web import errors

PROBLEM = "application/problem+json"
_BY_STATUS = {400: "bad-request", 404: "not-found", 405: "method-not-allowed", 413: "too-large", 415: "wrong-kind"}
_SENTENCES = {
    404: "There is nothing at this address.",
    405: "This address does not take what was sent to it.",
    413: "What was sent is larger than this address takes.",
}

log = logging.getLogger("rangehand.web")


def for_programs() -> bool:
    """Whether whoever asks is a program: anything under /api/, or JSON preferred over a page."""
    if request.path.startswith("/api/"):
        return True
    best = request.accept_mimetypes.best_match(["text/html", "application/json", PROBLEM])
    return best in ("application/json", PROBLEM)


def install(app: Flask) -> None:
    """Answer every error in one shape."""
    app.register_error_handler(errors.WebError, _web)
    app.register_error_handler(StoreError, _store)
    app.register_error_handler(DocumentRefused, _document)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _broken)


def answer(problem: dict[str, Any], headers: dict[str, str] | None = None) -> Response:
    """The problem as a page or as JSON."""
    if for_programs():
        made = Response(json.dumps(problem, ensure_ascii=False), problem["status"], mimetype=PROBLEM)
    else:
        made = make_response(render_template("problem.html", problem=problem, zone=_zone()), problem["status"])
    made.headers.update(headers or {})
    return made


def _zone() -> str:
    """The time zone of the day in the address; UTC where there is none, or where the trouble lies there."""
    from service.web.callers import the_store

    try:
        return the_store().days.header((request.view_args or {})["day_id"]).document.timezone
    except (KeyError, StoreError):
        return "UTC"


def _web(error: errors.WebError) -> Response:
    if isinstance(error, errors.NotSignedIn | errors.Denied | errors.StaleForm) and not for_programs():
        from service.web.sent_again import page_of_kept

        page = page_of_kept(error)
        if page is not None:
            return page
    if isinstance(error, errors.NotSignedIn):
        if for_programs():
            error.headers.setdefault("WWW-Authenticate", "Bearer")
        elif request.method == "GET":
            return redirect(url_for("people.sign_in", next=request.full_path.rstrip("?")), 303)  # type: ignore[return-value]
    if isinstance(error, errors.FirstPassword) and request.method == "GET" and not for_programs():
        return redirect(url_for("people.account", _anchor="password"), 303)  # type: ignore[return-value]
    return answer(errors.problem_of(error.kind, error.detail, error.faults), error.headers)


def _store(error: StoreError) -> Response:
    kind, faults, more = errors.from_store(error)
    if kind == "unavailable":
        log.error("the database cannot be used: %s", error)
    if kind == "conflict" and request.headers.get("If-Match"):
        kind = "outdated"
    headers = {"Retry-After": "2"} if kind in ("busy", "unavailable") else {}
    return answer(errors.problem_of(kind, _sentence(str(error)), faults, **more), headers)


def _document(error: DocumentRefused) -> Response:
    kind, faults = errors.from_document(error)
    count = len(faults)
    detail = f"{_sentence(error.name)[:-1]} has {count} fault{'' if count == 1 else 's'}; nothing was changed."
    return answer(errors.problem_of(kind, detail, faults))


def _http(error: HTTPException) -> Response:
    status = error.code or 500
    if 300 <= status < 400:
        return error.get_response()  # type: ignore[return-value]
    kind = _BY_STATUS.get(status, "bad-request" if status < 500 else "failed")
    problem = errors.problem_of(kind, _SENTENCES.get(status, _sentence(error.description or "The request failed")))
    allowed = getattr(error, "valid_methods", None)
    headers = {"Allow": ", ".join(sorted(allowed))} if allowed else {}
    return answer(problem | {"status": problem["status"] if kind != "bad-request" else status}, headers)


def _broken(error: Exception) -> Response:
    number = secrets.token_hex(4)
    log.exception("%s %s failed (%s)", request.method, request.path, number)
    return answer(errors.problem_of("failed", f"The service made a mistake; its log calls it {number}."))


def _sentence(text: str) -> str:
    text = text.strip() or "The request failed"
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
