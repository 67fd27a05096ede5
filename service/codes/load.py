"""Reads the published codes from their files, and refuses whatever does not hold together."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from service.codes.checks import addition_faults, rule_faults, table_faults
from service.codes.errors import Fault, RulesRefused, UnknownCode
from service.codes.tables import Table
from service.codes.units import nearest_name
from service.models.finding import CodeEdition
from service.models.rule import Band, Rule, Term

# the first file of a code says what it is, and has the conditions that all of its files use
FILES = {
    "us-model": ("us_model.toml",),
    "us-high-power": ("us_high_power.toml", "us_high_power_ground.toml", "us_high_power_checklist.toml"),
    "us-airspace": ("us_airspace.toml",),
    "practice": ("practice.toml", "practice_ground.toml", "practice_checklist.toml"),
    "canada": ("canada.toml",),
}
PARTS = ("code", "conditions", "table", "rule")

UNION_BRANCHES = frozenset({"float", "bool", "str", "Term", "Band", "Condition", "constrained-str", "literal"})

Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True)
class Code:
    """One published code: its edition, its tables and its rules."""

    edition: CodeEdition
    tables: dict[str, Table]
    rules: tuple[Rule, ...]


@cache
def load(code: str) -> Code:
    """The code of an id, read and checked once.

    Raises
    ------
    UnknownCode
        If no code has this id.
    RulesRefused
        If its files do not hold together.
    """
    if code not in FILES:
        raise UnknownCode(f"{code!r} is not a known code{nearest_name(code, list(FILES))}; "
                          f"the codes are {', '.join(FILES)}")
    folder = resources.files("service.codes")
    return parse({name: folder.joinpath(name).read_text(encoding="utf-8") for name in FILES[code]})


def parse(texts: Mapping[str, str]) -> Code:
    """A code from the texts of its files, by their names; a name stands in front of every fault."""
    faults: list[Fault] = []
    contents: dict[str, dict[str, Any]] = {}
    for number, (file_name, text) in enumerate(texts.items()):
        contents[file_name] = _toml(text, file_name)
        faults += _part_faults(contents[file_name], file_name, PARTS if number == 0 else PARTS[2:])
    first, head = next(iter(contents.items()))
    edition = _read(CodeEdition, head.get("code", {}), f"{first}/code", faults)
    tables: dict[str, Table] = {}
    for content, where in _listed(contents, "table"):
        table = _read(Table, content, where, faults)
        if table is not None:
            faults += table_faults(table, where)
            tables[table.id] = table
    rules: list[Rule] = []
    places: list[str] = []
    for content, where in _listed(contents, "rule"):
        rule = _read(Rule, _spelt_out(content, head.get("conditions", {}), where, faults), where, faults)
        if rule is not None:
            faults += _faults_of(rule, where, tables)
            rules.append(rule)
            places.append(where)
    ids = [rule.id for rule in rules]
    faults += [Fault(where, f"the id {name!r} stands twice") for name, where in zip(ids, places, strict=True)
               if ids.count(name) > 1]
    by_id = dict(zip(ids, rules, strict=True))
    for rule, where in zip(rules, places, strict=True):
        faults += addition_faults(rule, where, by_id)
    if faults or edition is None:
        raise RulesRefused(faults)
    return Code(edition, tables, tuple(rules))


def _toml(text: str, file_name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RulesRefused([Fault(file_name, f"is not TOML: {error}")]) from error


def _part_faults(content: dict[str, Any], file_name: str, parts: Sequence[str]) -> Iterator[Fault]:
    for key in sorted(set(content) - set(parts)):
        yield Fault(f"{file_name}/{key}", f"is not a known part; the parts are {', '.join(parts)}")


def _listed(contents: Mapping[str, dict[str, Any]], part: str) -> Iterator[tuple[Any, str]]:
    """Every table or rule with its place, file after file."""
    for file_name, content in contents.items():
        for index, each in enumerate(content.get(part, [])):
            yield each, f"{file_name}/{part}/{index} ({each.get('id', 'no id')})"


def _faults_of(rule: Rule, where: str, tables: dict[str, Table]) -> Iterator[Fault]:
    yield from rule_faults(rule, where, tables)
    if rule.source is None:
        yield Fault(f"{where}/source", "a published rule says where it is published")
    if rule.replaces:
        yield Fault(f"{where}/replaces", "only a local rule replaces another")


def _spelt_out(value: Any, conditions: dict[str, Any], where: str, faults: list[Fault]) -> Any:
    """The same content with every {condition = "name"} replaced by the condition of that name."""
    if isinstance(value, list):
        return [_spelt_out(each, conditions, where, faults) for each in value]
    if not isinstance(value, dict):
        return value
    content = {key: _spelt_out(each, conditions, where, faults) for key, each in value.items() if key != "condition"}
    if "condition" in value:
        name = value["condition"]
        if name not in conditions:
            faults.append(Fault(f"{where}/condition", f"{name!r} is not a condition of this file"
                                                      f"{nearest_name(str(name), list(conditions))}"))
        else:
            content["all"] = [*content.get("all", []), _spelt_out(conditions[name], conditions, where, faults)]
    return content


def _read(model: type[Model], content: Any, where: str, faults: list[Fault]) -> Model | None:
    try:
        return model.model_validate(content)
    except ValidationError as error:
        faults += validation_faults(error, where)
        return None


def validation_faults(error: ValidationError, where: str) -> Iterator[Fault]:
    """The faults that pydantic found, in the form of the others; the branches of a union count as one place."""
    messages: dict[str, list[str]] = {}
    for each in error.errors(include_url=False):
        names = [str(part) for part in each["loc"] if str(part) not in UNION_BRANCHES and "[" not in str(part)]
        found = each["input"]
        tail = "" if isinstance(found, dict | list | tuple | BaseModel) else f", found {found!r}"
        if each["type"] == "missing":
            message = "is wanted here and is missing"
        elif each["type"] == "extra_forbidden":
            fields = [*Rule.model_fields, *Term.model_fields, *Table.model_fields, *Band.model_fields]
            message = f"is not a known key{nearest_name(names[-1], fields)}"
        else:
            message = each["msg"].removeprefix("Value error, ") + tail
        messages.setdefault("/".join((where, *names)), []).append(message)
    for pointer, said in messages.items():
        yield Fault(pointer, "; or ".join(dict.fromkeys(said)))


def all_codes() -> list[str]:
    """Ids of every code that comes with the program."""
    return list(FILES)


def editions(codes: list[str]) -> list[CodeEdition]:
    """What to print about each code in use, in the order given."""
    return [load(code).edition for code in codes]
