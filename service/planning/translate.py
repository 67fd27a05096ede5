"""From the model's errors to faults in our own words: where, what was found, what would be right."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from pydantic import ValidationError

from service.models.base import PROBLEMS, REFUSED, shown
from service.models.schema import document_schema
from service.planning.errors import Fault, pointer

Path = tuple[str | int, ...]

_UNIT_BEHIND = re.compile(r"\. \[([^\]]*)\]$")  # one sentence, not a unit after its end

ALIKE_LIMIT = 300  # faults of one kind in lists that are put into words; the rest are counted

_PLAIN = {
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "string_type": "a text",
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a finite number",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "list_type": "a list",
    "tuple_type": "a list",
    "dict_type": "an object",
    "model_type": "an object",
    "model_attributes_type": "an object",
    "none_required": "null",
    "string_too_short": "a text that is not empty",
    "date_from_datetime_parsing": 'a real date, such as "2027-05-15"',
    "date_parsing": 'a real date, such as "2027-05-15"',
    "date_type": 'a real date, such as "2027-05-15"',
}


def faults_of(error: ValidationError, document: Any) -> Iterator[Fault]:
    """Say each of the model's errors as a fault of the document it was found in."""
    alike: Counter[tuple[str | None, ...]] = Counter()
    for detail in error.errors(include_url=False):
        kind = (detail["type"], *(None if isinstance(step, int) else step for step in detail["loc"]))
        alike[kind] += 1
        if alike[kind] > ALIKE_LIMIT:
            continue
        path = _path(detail["loc"], document, missing=detail["type"] == "missing")
        yield from _faults(detail, path, document)
    more = sum(count - ALIKE_LIMIT for count in alike.values() if count > ALIKE_LIMIT)
    if more:
        yield Fault("", f"{more:,} more faults like these, in longer lists than are worth reading", "none")


def _faults(detail: Mapping[str, Any], path: Path, document: Any) -> Iterator[Fault]:
    kind, context, value = detail["type"], detail.get("ctx", {}), detail.get("input")
    here = pointer(path)
    if kind == REFUSED:
        yield Fault(here, context["found"], context["expected"])
    elif kind == PROBLEMS:
        for problem in context["problems"]:
            yield Fault(pointer((*path, *problem.at)), problem.found, problem.expected)
    elif kind == "missing":
        yield Fault(here, "nothing", _described(path, document))
    elif kind == "extra_forbidden":
        yield Fault(here, f"an unknown field, {shown(value)}", _known_fields(path, document))
    elif kind == "literal_error":
        yield Fault(here, shown(value), _one_of(context["expected"]))
    elif kind in ("union_tag_invalid", "union_tag_not_found"):
        yield _tag_fault(path, context, value, document)
    elif kind == "too_short" and len(value or ()) >= context["min_length"]:
        return  # it is only short of the items that were refused, and they have their own faults
    elif kind in ("too_short", "too_long"):
        yield Fault(here, shown(value), _length(path, document))
    elif kind in ("value_error", "assertion_error"):
        yield Fault(here, shown(value), f"one that holds together: {context.get('error', 'it does not')}")
    else:
        yield Fault(here, shown(value), _PLAIN.get(kind) or _described(path, document))


def _path(location: Sequence[str | int], document: Any, missing: bool) -> Path:
    """Keep the steps of a location that exist in the document: the model adds names of its own variants."""
    path: list[str | int] = []
    node = document
    for position, step in enumerate(location):
        last = position == len(location) - 1
        if isinstance(node, Mapping) and step in node:
            node = node[step]
        elif isinstance(node, list | tuple) and isinstance(step, int) and step < len(node):
            node = node[step]
        elif not (last and missing):
            continue
        path.append(step)
    return tuple(path)


def _one_of(expected: str) -> str:
    choices = expected.replace("'", '"')
    return choices if " or " not in choices else f"one of {choices}"


def _tag_fault(path: Path, context: Mapping[str, Any], value: Any, document: Any) -> Fault:
    if not isinstance(value, Mapping):
        return Fault(pointer(path), shown(value), f"an object; {_described(path, document)}")
    name = str(context["discriminator"]).strip("'")
    variants = [node.get("properties", {}).get(name, {}).get("const") for node in _nodes(path, document, every=True)]
    known = [f'"{variant}"' for variant in variants if variant is not None]
    expected = f"one of {', '.join(known[:-1])} or {known[-1]}" if len(known) > 1 else "one that the schema lists"
    return Fault(pointer((*path, name)), shown(value[name]) if name in value else "nothing", expected)


def _length(path: Path, document: Any) -> str:
    for node in _nodes(path, document):
        low, high = node.get("minItems", node.get("minProperties", 0)), node.get("maxItems", node.get("maxProperties"))
        if high is not None:
            return f"exactly {low} values" if low == high else f"{low} to {high:,} values"
        if low:
            return f"at least {low} values"
    return "a list of another length"


def _described(path: Path, document: Any) -> str:
    """What the schema says of a place, as the end of a sentence."""
    for node in _nodes(path, document, resolve=False):
        text = str(node.get("description", "")).split("\n\n")[0].strip().rstrip(".")
        text = _UNIT_BEHIND.sub(r" [\1]", text)
        if text:
            return text[0].lower() + text[1:]
    if path and isinstance(path[-1], int):
        return "a value in this place"
    return "a value of the kind the schema describes"


def _known_fields(path: Path, document: Any) -> str:
    names = [name for node in _nodes(path[:-1], document) for name in node.get("properties", {})]
    near = difflib.get_close_matches(str(path[-1]), names, n=1)
    if near:
        return f'only known fields; did you mean "{near[0]}"?'
    return f"only known fields: {', '.join(dict.fromkeys(names))}" if names else "only known fields"


@cache
def _schema() -> dict[str, Any]:
    return document_schema()


def _nodes(path: Path, document: Any, *, every: bool = False, resolve: bool = True) -> list[dict[str, Any]]:
    """The schema's nodes for a place in a document; of several variants, those that the document's words choose."""
    nodes, value = _open(_schema()), document
    for position, step in enumerate(path):
        last = position == len(path) - 1
        following: list[dict[str, Any]] = []
        for node in nodes:
            if isinstance(step, int):
                prefix = node.get("prefixItems", [])
                inner = prefix[step] if step < len(prefix) else node.get("items")
            else:
                inner = node.get("properties", {}).get(step, node.get("additionalProperties"))
            if isinstance(inner, dict):
                following += [inner] if last and not resolve else _open(inner)
        value = _inside(value, step)
        nodes = following if every and last else _chosen(following, value)
    return nodes


def _open(node: dict[str, Any]) -> list[dict[str, Any]]:
    """A node, or the nodes of all its variants, references followed."""
    if "$ref" in node:
        return _open(_schema()["$defs"][node["$ref"].rsplit("/", 1)[-1]])
    for key in ("anyOf", "oneOf"):
        if key in node:
            return [inner for variant in node[key] for inner in _open(variant)]
    return [node]


def _inside(value: Any, step: str | int) -> Any:
    if isinstance(value, Mapping):
        return value.get(step)
    if isinstance(value, list | tuple) and isinstance(step, int) and step < len(value):
        return value[step]
    return None


def _chosen(nodes: list[dict[str, Any]], value: Any) -> list[dict[str, Any]]:
    """Of several variants, those of the value's kind and whose fixed words it carries; all when none does."""
    kind = "object" if isinstance(value, Mapping) else "array" if isinstance(value, list | tuple) else None
    fitting = [node for node in nodes if kind is None or node.get("type") == kind]
    if isinstance(value, Mapping):
        fitting = [
            node
            for node in fitting
            if all(
                "const" not in inner or value.get(name) == inner["const"]
                for name, inner in node.get("properties", {}).items()
            )
        ] or fitting
    return fitting or nodes
