"""The API's description, OpenAPI 3.1, made from the routes themselves.

    @bp.get("/days/<day_id>/conditions")
    @access("anyone")
    @described("The conditions in force", answers={200: Kept}, etag=True)
    def conditions(day_id: str): ...

Schemas come from pydantic; the errors that every route may answer with are added here, once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from flask import Flask
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from service.version import VERSION
from service.web.access import Access

V = TypeVar("V", bound=Callable[..., Any])
PREFIX = "/api/v1"
REFS = "#/components/schemas/{model}"
REVISION = "[0-9]{1,9}"  # what an ETag is where one thing is edited
MARK = "[0-9a-f]{32}"  # and where a whole day is


class FaultSeen(BaseModel):
    """One place at fault."""

    pointer: str
    """JSON pointer (RFC 6901) to it."""
    found: str
    expected: str


class Problem(BaseModel):
    """Why a request was refused (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[FaultSeen] = []


@dataclass(frozen=True)
class Description:
    """What one route takes and answers."""

    summary: str
    body: type[BaseModel] | None
    answers: Mapping[int, type[BaseModel] | None]
    etag: bool
    matched: bool
    query: Mapping[str, dict[str, Any]] = field(default_factory=dict)
    problems: tuple[int, ...] = ()
    gives: str = ""
    """The kind of content of a file that it answers with; empty for JSON."""
    tag: str = REVISION
    needed: tuple[str, ...] = ()
    """Those of the query that cannot be left out."""


def described(
    summary: str,
    *,
    body: type[BaseModel] | None = None,
    answers: Mapping[int, type[BaseModel] | None],
    etag: bool = False,
    matched: bool = False,
    query: Mapping[str, dict[str, Any]] | None = None,
    problems: tuple[int, ...] = (),
    gives: str = "",
    tag: str = REVISION,
    needed: tuple[str, ...] = (),
) -> Callable[[V], V]:
    """Describe a route: its body, its answers, whether it gives an ETag and wants If-Match."""

    def declare(view: V) -> V:
        made = Description(summary, body, answers, etag, matched, query or {}, problems, gives, tag, needed)
        view.described = made  # type: ignore[attr-defined]
        return view

    return declare


PARAMETERS: dict[str, dict[str, Any]] = {
    "id": {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$"},
    "assessment_id": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
    "job_id": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
    "number": {"type": "integer", "minimum": 1, "maximum": 1_000_000},
    "role": {"type": "string", "enum": ["rso", "organiser"]},
}
PAGE: dict[str, dict[str, Any]] = {
    "limit": {"type": "integer", "minimum": 1, "maximum": 200, "default": 50},
    "offset": {"type": "integer", "minimum": 0, "maximum": 100_000, "default": 0},
}
_ETAG = {"description": "The revision; send it back as If-Match.", "schema": {"type": "string"}}
_ARGUMENT = re.compile(r"<(?:(\w+):)?(\w+)>")


def openapi(app: Flask) -> dict[str, Any]:
    """The whole description."""
    views: dict[str, Any] = dict(app.view_functions)
    routes = [
        (rule, views[rule.endpoint])
        for rule in app.url_map.iter_rules()
        if rule.rule.startswith(PREFIX) and hasattr(views[rule.endpoint], "described")
    ]
    modelled: dict[tuple[type[BaseModel], str], None] = {(Problem, "serialization"): None}
    for _, view in routes:
        told: Description = view.described
        if told.body:
            modelled[told.body, "validation"] = None
        modelled |= {(model, "serialization"): None for model in told.answers.values() if model}
    names, definitions = models_json_schema(list(modelled), ref_template=REFS)  # type: ignore[arg-type]
    paths: dict[str, dict[str, Any]] = {}
    for rule, view in sorted(routes, key=lambda each: each[0].rule):
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
            path = _ARGUMENT.sub(r"{\2}", rule.rule.removeprefix(PREFIX))
            paths.setdefault(path, {})[method.lower()] = _operation(rule, method, view, names)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Rangehand",
            "version": VERSION,
            "description": "Launch-day range planning. It reports; it approves nothing.",
        },
        "servers": [{"url": PREFIX}],
        "paths": paths,
        "components": {
            "schemas": definitions.get("$defs", {}),
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
        },
    }


def _operation(rule: Any, method: str, view: Any, names: Mapping[Any, Any]) -> dict[str, Any]:
    told: Description = view.described
    declared: Access = view.access
    made: dict[str, Any] = {
        "operationId": rule.endpoint.rpartition(".")[2],
        "summary": told.summary,
        "responses": {},
    }
    if view.__doc__:
        made["description"] = " ".join(view.__doc__.split())
    parameters = [
        {"name": name, "in": "path", "required": True, "schema": PARAMETERS.get(name, PARAMETERS["id"])}
        for name in rule.arguments
    ]
    parameters += [
        {"name": name, "in": "query", **({"required": True} if name in told.needed else {}), "schema": schema}
        for name, schema in told.query.items()
    ]
    if told.matched:
        about = "The ETag of the revision that this change rests on."
        parameters.append({
            "name": "If-Match", "in": "header", "required": True, "description": about,
            "schema": {"type": "string", "pattern": rf'^(\*|"{told.tag}")$'},
        })  # fmt: skip
    if parameters:
        made["parameters"] = parameters
    if told.body:
        content = {"application/json": {"schema": names[told.body, "validation"]}}
        made["requestBody"] = {"required": True, "content": content}
    for status, model in told.answers.items():
        answer: dict[str, Any] = {"description": told.summary}
        if model:
            answer["content"] = {"application/json": {"schema": names[model, "serialization"]}}
        elif told.gives and status < 300:
            answer["content"] = {told.gives: {"schema": {"type": "string", "format": "binary"}}}
        if told.etag and status < 300:
            answer["headers"] = {"ETag": _ETAG}
        made["responses"][str(status)] = answer
    problem = {"application/problem+json": {"schema": names[Problem, "serialization"]}}
    for status in sorted(_refusals(rule, method, told, declared)):
        made["responses"][str(status)] = {"description": _REFUSED[status], "content": problem}
    if "anyone" not in declared.who:
        made["security"] = [{"token": []}]
    return made


_REFUSED = {
    400: "It cannot be read.", 401: "A token is missing or not in force.", 403: "Not yours to see or change.",
    404: "Not found.", 409: "Somebody else was faster, or it is there already.", 412: "If-Match is out of date.",
    413: "Too large.", 415: "Not JSON.", 422: "Refused; the pointers say where.", 428: "If-Match is missing.",
    429: "Too many requests; Retry-After says when.", 503: "The database cannot be used just now.",
}  # fmt: skip


def _refusals(rule: Any, method: str, told: Description, declared: Access) -> set[int]:
    found = {429, 503, 401, *told.problems}
    if "anyone" not in declared.who:
        found.add(403)
    if rule.arguments:
        found.add(404)
    if told.query:
        found.add(422)
    if told.body:
        found |= {400, 413, 415, 422}
    if told.matched:
        found |= {412, 422, 428}
    return found
