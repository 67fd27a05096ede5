"""What browsers are told about every answer."""

from __future__ import annotations

from flask import Flask, Response, request

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
    """Add the headers; pages and data are not kept by anyone in between, styles and scripts are for an hour."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint == "static":
        response.headers["Cache-Control"] = "public, max-age=3600"
    else:
        response.headers.setdefault("Cache-Control", "private, no-store")
    return response


def install(app: Flask) -> None:
    """Tell them with every answer."""
    app.after_request(tell)
