"""The API's description of itself."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, json

from service.web.access import access
from service.web.openapi import PREFIX, openapi

bp = Blueprint("api_description", __name__, url_prefix=PREFIX)


@bp.get("/openapi.json")
@access("anyone")
def description() -> Response:
    """OpenAPI 3.1, made from the routes."""
    if "openapi" not in current_app.extensions:
        current_app.extensions["openapi"] = json.dumps(openapi(current_app))
    return Response(current_app.extensions["openapi"], mimetype="application/json")
