"""The rules in force on one launch day: the chosen codes with the club's own rules laid over them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from service.codes.checks import rule_faults
from service.codes.classify import with_classes
from service.codes.errors import CodesError, Fault, RulesRefused
from service.codes.evaluate import LOCAL_SOURCE, BoundRule, evaluate, replacement_note, statement
from service.codes.facts import Facts, Reader, Value, refuse_unknown_names
from service.codes.limits import holds
from service.codes.load import load, validation_faults
from service.codes.overlay import overlay_faults
from service.codes.tables import Table
from service.codes.units import nearest_name
from service.models.entry import Attestation
from service.models.finding import WORST_FIRST, ChecklistItem, Finding
from service.models.rule import Rule

LOCAL = "local"
ORGANISERS = "practice"
ALWAYS = (
    "mot-lifts", "mot-leaves-guide", "mot-stable", "mot-plugged", "mot-opens",
    "club-footprint", "club-people", "club-ceiling",
)  # fmt: skip
WEIGHTS = ("law", "code", "club", "practice")
Attestations = Mapping[str, Any]


@dataclass(frozen=True)
class Rulebook:
    """Every rule in force, in the order of the codes, local rules last."""

    rules: tuple[BoundRule, ...]

    def __contains__(self, rule_id: object) -> bool:
        return any(bound.rule.id == rule_id for bound in self.rules)

    @property
    def ids(self) -> list[str]:
        """The ids of all rules in force."""
        return [bound.rule.id for bound in self.rules]


def rulebook(codes: Sequence[str], local_rules: Sequence[Rule | Mapping[str, Any]] = ()) -> Rulebook:
    """Lay the local rules over the codes.

    Raises
    ------
    UnknownCode
        If a code's id is not known.
    RulesRefused
        With every fault of the local rules, each with its place in the document.
    """
    book, faults = _assemble(codes, local_rules)
    if faults:
        raise RulesRefused(faults)
    return book


def rule_faults_of(codes: Sequence[str], local_rules: Sequence[Rule | Mapping[str, Any]] = ()) -> list[Fault]:
    """Every fault of the codes chosen and of the local rules; an empty list when they can be used."""
    faults, known = [], []
    for index, code in enumerate(codes):
        try:
            load(code)
            known.append(code)
        except CodesError as error:
            faults.append(Fault(f"/codes/{index}", str(error)))
    return faults + _assemble(known, local_rules)[1]


def evaluate_all(codes: Sequence[str], local_rules: Sequence[Rule | Mapping[str, Any]], facts: Facts,
                 attestations: Attestations | None = None, remarks: Mapping[str, str] | None = None) -> list[Finding]:
    """All findings on one entry, the worst first, then by weight, then in the order of the codes.

    Parameters
    ----------
    codes : sequence of str
        Ids of the codes in force.
    local_rules : sequence of Rule
        The club's own rules.
    facts : mapping
        Quantity name -> value; `faa_class` and `category` are worked out when they are not given.
    attestations : mapping, optional
        Rule id -> {"by", "at", "note"}.
    remarks : mapping, optional
        Quantity name -> what has to be known beside that fact; noted on every finding that rests on it.

    Raises
    ------
    UnknownCode, RulesRefused
        As `rulebook`.
    UnknownQuantity
        If a fact has a name that no rule may use.
    """
    refuse_unknown_names(facts)
    book, complete, words = rulebook(codes, local_rules), _complete(facts, codes), _words(attestations)
    in_play = [_in_play(bound, complete) for bound in book.rules]
    findings = [evaluate(bound, complete, words.get(bound.rule.id), remarks) for bound in in_play
                if not _is_left_to_a_person(bound, complete)]
    found = [finding for finding in findings if finding is not None]
    return sorted(found, key=lambda each: (WORST_FIRST.index(each.standing), WEIGHTS.index(each.weight)))


def checklist(codes: Sequence[str], local_rules: Sequence[Rule | Mapping[str, Any]], facts: Facts,
              attestations: Attestations | None = None) -> list[ChecklistItem]:
    """What people have to look at before this entry flies, day items first; answered where a word is given."""
    refuse_unknown_names(facts)
    book, complete, words = rulebook(codes, local_rules), _complete(facts, codes), _words(attestations)
    in_play = [_in_play(bound, complete) for bound in book.rules]
    items = [item for bound in in_play if (item := _item(bound, complete, words.get(bound.rule.id)))]
    return sorted(items, key=lambda item: item.per)


def attestation_faults(codes: Sequence[str], local_rules: Sequence[Rule | Mapping[str, Any]],
                       attestations: Attestations) -> list[Fault]:
    """Attestations that name no rule in force, that no rule asks for, or that lack a name or a time."""
    book = rulebook(codes, local_rules)
    by_id = {bound.rule.id: bound.rule for each in book.rules for bound in _with_replaced(each)}
    faults = []
    for rule_id, word in attestations.items():
        where = f"/attestations/{rule_id}"
        rule = by_id.get(rule_id)
        if rule is None:
            faults.append(Fault(where, f"{rule_id!r} is not a rule in force{nearest_name(rule_id, book.ids)}"))
        elif not (rule.kind == "attested" or rule.attested_if_missing or rule.authorisable):
            faults.append(Fault(where, f"{rule_id} is {rule.kind}; nobody's word takes the place of the figure"))
        try:
            Attestation.model_validate(word)
        except ValidationError as error:
            faults += validation_faults(error, where)
    return faults


def _complete(facts: Facts, codes: Sequence[str]) -> dict[str, Value]:
    """The facts with both classes added, and which kinds of rocket the codes in force speak of."""
    covered = {kind for code in codes for kind in load(code).edition.covers}
    return {**with_classes(facts), "model_covered": "model" in covered, "high_power_covered": "high_power" in covered}


def _words(attestations: Attestations | None) -> dict[str, Attestation]:
    return {rule_id: Attestation.model_validate(word) for rule_id, word in (attestations or {}).items()}


def _with_replaced(bound: BoundRule) -> Iterator[BoundRule]:
    yield bound
    if bound.replaced is not None:
        yield from _with_replaced(bound.replaced)


def _in_play(bound: BoundRule, facts: Facts) -> BoundRule:
    """The rule itself, or the one it replaces where it does not apply: a narrower local rule leaves no gap."""
    while bound.replaced is not None and bound.rule.applies is not None \
            and holds(bound.rule.applies, Reader(facts), bound.tables) is False:
        bound = bound.replaced
    return bound


def _is_left_to_a_person(bound: BoundRule, facts: Facts) -> bool:
    """True for a rule whose figure is not to be had and which a person may answer for instead."""
    return bound.rule.attested_if_missing and facts.get(bound.key or "") is None


def _item(bound: BoundRule, facts: Facts, word: Attestation | None) -> ChecklistItem | None:
    rule = bound.rule
    if rule.kind != "attested" and not _is_left_to_a_person(bound, facts):
        return None
    reader = Reader(facts)
    applies = True if rule.applies is None else holds(rule.applies, reader, bound.tables)
    if applies is False or rule.per is None:
        return None
    doubt = "" if applies else f"it is not known whether this applies: {reader.missing()}"
    notes = [rule.note, replacement_note(bound, facts), doubt,
             word.note or "" if word else ""]
    return ChecklistItem(
        rule=rule.id, code=bound.code, weight=rule.weight, protects=rule.protects, text=_text(bound, facts),
        per=rule.per, source=rule.source or LOCAL_SOURCE, by=word.by if word else None, at=word.at if word else None,
        note="; ".join(note for note in notes if note),
    )


def _text(bound: BoundRule, facts: Facts) -> str:
    """The item's sentence; one with a limit takes it from a finding of the same rule."""
    finding = None if bound.rule.kind == "attested" else evaluate(bound, facts)
    return finding.statement if finding else statement(bound, None)


def _assemble(codes: Sequence[str], local_rules: Sequence[Rule | Mapping[str, Any]]) -> tuple[Rulebook, list[Fault]]:
    tables: dict[str, Table] = {}
    rules: dict[str, BoundRule] = {}
    for code in dict.fromkeys(codes):
        loaded = load(code)
        tables |= loaded.tables
        for rule in loaded.rules:
            rules[rule.id] = BoundRule(rule, code, loaded.tables)
    if ORGANISERS not in codes:  # what makes it fly at all, and the organiser's own limits, hold under any codes
        loaded = load(ORGANISERS)
        for rule in loaded.rules:
            if rule.id in ALWAYS:
                rules[rule.id] = BoundRule(rule, ORGANISERS, loaded.tables)
    faults: list[Fault] = []
    for index, content in enumerate(local_rules):
        where = f"/local_rules/{index}"
        try:
            rule = content if isinstance(content, Rule) else Rule.model_validate(content)
        except ValidationError as error:
            faults += validation_faults(error, where)
            continue
        in_force = {name: bound.rule for name, bound in rules.items()}
        found = [*rule_faults(rule, where, tables), *overlay_faults(rule, where, in_force)]
        faults += found
        if not found:
            replaced = rules.pop(rule.replaces) if rule.replaces else None
            rules[rule.id] = BoundRule(rule, LOCAL, tables, replaced=replaced)
    return Rulebook(tuple(_with_additions(rules))), faults


def _with_additions(rules: dict[str, BoundRule]) -> Iterator[BoundRule]:
    """The rules, those that add to another folded into it."""
    for bound in rules.values():
        if bound.rule.adds_to not in rules:
            added = tuple(other.rule for other in rules.values() if other.rule.adds_to == bound.rule.id)
            yield replace(bound, added=added) if added else bound
