"""What every API route does: read a body, a page of a list, If-Match; answer with an ETag."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TypeVar

from flask import Response, request
from pydantic import BaseModel

from service.models.base import Model
from service.planning.decode import Unreadable as NoJson
from service.planning.decode import decode
from service.planning.errors import Fault
from service.planning.part import ROOT, Place, read_part_bytes
from service.web.errors import Misfit, Unconditional, Unreadable, WrongKind
from service.web.openapi import MARK, PAGE, REVISION

M = TypeVar("M", bound=Model)
T = TypeVar("T")
_TAG = re.compile(rf'"({REVISION})"')
_MARK = re.compile(rf'"({MARK})"')


def body(kind: type[M], place: Place = ROOT, name: str = "the body") -> M:
    """The request's body as a model; refused with a pointer to each fault."""
    try:
        return read_part_bytes(kind, json_bytes(), place, name)
    except NoJson as refusal:
        raise Unreadable(f"The body is no JSON document: {refusal}.", [refusal.fault]) from None


def json_bytes() -> bytes:
    """The request's body, once it says that it is JSON."""
    if request.mimetype != "application/json":
        found = f'"{request.mimetype[:60]}"' if request.mimetype else "no content type"
        raise WrongKind(f"Found {found}; expected application/json.")
    return request.get_data()


def document_bytes() -> bytes:
    """The request's body, once it is JSON at all; what it says is for `read_day` to judge."""
    data = json_bytes()
    try:
        decode(data)
    except NoJson as refusal:
        raise Unreadable(f"The body is no JSON document: {refusal}.", [refusal.fault]) from None
    return data


def based_on(current: int) -> int:
    """The revision that If-Match names. `*` stands for whichever is the newest.

    Raises
    ------
    Unconditional
        Without the header: a change must say what it rests on.
    """
    given = request.headers.get("If-Match", "").strip()
    if not given:
        raise Unconditional("Found no If-Match; expected the ETag of the revision that this change rests on.")
    if given == "*":
        return current
    match = _TAG.fullmatch(given)
    if match is None:
        raise Misfit('If-Match is no ETag of ours; expected one such as "3", quotes included.')
    return int(match[1])


def based_on_mark() -> str | None:
    """The mark of a whole day that If-Match names; None for `*`, whatever stands."""
    given = request.headers.get("If-Match", "").strip()
    if not given:
        raise Unconditional("Found no If-Match; expected the ETag of the document that this change rests on.")
    match = _MARK.fullmatch(given)
    if given != "*" and match is None:
        raise Misfit("If-Match is no ETag of ours; expected the one that the document came with, quotes included.")
    return match[1] if match else None


def file(data: bytes | str, kind: str, name: str) -> Response:
    """A file, under a name to keep it by."""
    made = Response(data, mimetype=kind)
    made.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return made


def page_of(items: Sequence[T]) -> tuple[Sequence[T], dict[str, int]]:
    """The part of a list that was asked for, and where it stands in the whole."""
    limit, offset = _whole("limit"), _whole("offset")
    return items[offset : offset + limit], {"total": len(items), "limit": limit, "offset": offset}


def _whole(name: str) -> int:
    told = PAGE[name]
    values = request.args.getlist(name)
    text = values[0] if values else str(told["default"])
    if len(values) > 1 or not re.fullmatch(r"\d{1,6}", text) or not told["minimum"] <= int(text) <= told["maximum"]:
        expected = f"one whole number from {told['minimum']} to {told['maximum']}"
        shown = ", ".join(values)[:60]
        raise Misfit(f'{name}: found "{shown}"; expected {expected}.', [Fault(f"/{name}", f'"{shown}"', expected)])
    return int(text)


def known_query(*names: str) -> None:
    """Refuse parameters that mean nothing here: a misspelt one must not be taken for the default."""
    for name in request.args:
        if name not in names:
            listed = ", ".join(names) or "none"
            raise Misfit(f'Found a parameter "{name[:60]}"; expected only known ones: {listed}.')


def answer(model: BaseModel, status: int = 200, revision: int | str | None = None, **headers: str) -> Response:
    """A model as JSON, with its revision as the ETag; 304 where the reader has it already."""
    made = Response(model.model_dump_json(by_alias=True), status, mimetype="application/json")
    made.headers.update(headers)
    if revision is not None:
        made.set_etag(str(revision))
        if request.method == "GET":
            made.make_conditional(request)
    return made
