"""What browsers are told about every answer; and how its figures are set."""

from __future__ import annotations

from flask import Flask, Response, request, session

from service.planning.tied_page import tied_page

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # a private link must not travel on
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(self), camera=(), microphone=()",
}


def tell(response: Response) -> Response:
    """Add the headers. Styles and scripts are kept for an hour, pages are asked for anew each time.

    What somebody sees by signing in or by a private link is not kept at all: the next one at this laptop could go back.
    """
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint == "static":
        response.headers["Cache-Control"] = "public, max-age=3600"
    else:
        personal = session.get("person") or session.get("links") or request.headers.get("Authorization")
        response.headers.setdefault("Cache-Control", "no-store" if personal else "private, no-cache")
    return response


def tie(response: Response) -> Response:
    """No line of a page ends between a figure and its unit."""
    if response.mimetype == "text/html" and not response.direct_passthrough:
        response.set_data(tied_page(response.get_data(as_text=True)))
    return response


def install(app: Flask) -> None:
    """Tell them with every answer."""
    app.after_request(tell)
    app.after_request(tie)
