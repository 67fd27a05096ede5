"""The one evaluator: holds a measured fact against a published limit, and only compares."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from service.codes.facts import Facts, Reader, Value
from service.codes.limits import Amount, Tables, either, holds, least, most
from service.codes.quantities import QUANTITIES, with_statistic
from service.codes.units import above, convert, in_words, up_to
from service.models.entry import Attestation
from service.models.finding import Comparison, Finding, Source, Standing
from service.models.rule import Limit, Rule

LOCAL_SOURCE = Source(clause="local rule", known="practice")


@dataclass(frozen=True)
class BoundRule:
    """A rule in its place: its code, the tables it may look in, the rules that add to it, the rule it replaces."""

    rule: Rule
    code: str = "local"
    tables: Tables = field(default_factory=dict)
    added: tuple[Rule, ...] = ()
    replaced: "BoundRule | None" = None

    @property
    def key(self) -> str | None:
        """The name of the quantity, its zone included."""
        rule = self.rule
        return f"{rule.zone}_{rule.quantity}" if rule.zone else rule.quantity

    @property
    def unit(self) -> str:
        """The unit that the limit is printed in; the quantity's own when the rule names none."""
        own = QUANTITIES[self.key].unit if self.key else None
        return self.rule.unit or own or "1"


@dataclass(frozen=True)
class _Outcome:
    """What the comparison itself said, before weight and authorisation."""

    met: bool | None
    limit: float | None = None
    margin: float | None = None
    why: str = ""
    case_by_case: bool = False


def evaluate(bound: BoundRule, facts: Facts, attestation: Attestation | None = None,
             remarks: Mapping[str, str] | None = None) -> Finding | None:
    """Hold one rule against the facts.

    Parameters
    ----------
    bound : BoundRule
        A computed or measured rule in its place.
    facts : mapping
        Quantity name -> value, in the registry's unit.
    attestation : Attestation, optional
        A person's word under the rule's id; counts only where the rule is authorisable.
    remarks : mapping, optional
        Quantity name -> what has to be known beside that fact; noted on a finding that rests on it.

    Returns
    -------
    Finding or None
        None only when the rule certainly does not apply, or is a yardstick that is kept to: that clears nothing.
        Whatever is missing leads to `unknown`.
    """
    rule = bound.rule
    if rule.kind == "attested":
        return None
    reader = Reader(facts)
    applies = True if rule.applies is None else holds(rule.applies, reader, bound.tables)
    if applies is False:
        return None
    if applies is None:
        limit = _compare(bound, Reader(facts)).limit
        outcome = _Outcome(None, limit, why="whether this rule applies is not known")
    else:
        outcome = _compare(bound, reader)
    if rule.yardstick and outcome.met:
        return None
    return _finding(bound, facts, reader, outcome, attestation, remarks or {})


def _compare(bound: BoundRule, reader: Reader) -> _Outcome:
    rule = bound.rule
    if rule.requires is not None:
        outcome = _Outcome(holds(rule.requires, reader, bound.tables))
    elif rule.equals is not None:
        value = reader.value(bound.key or "")
        outcome = _Outcome(None if value is None else value == rule.equals)
    else:
        outcome = _against_limits(bound, reader)
    if rule.met_by is not None and outcome.met is not True:
        other = holds(rule.met_by, reader, bound.tables)
        if other:
            return _Outcome(True, outcome.limit, outcome.margin, "met in the other way that the rule allows")
        return _Outcome(either([outcome.met, other]), outcome.limit, outcome.margin, outcome.why, outcome.case_by_case)
    return outcome


def _against_limits(bound: BoundRule, reader: Reader) -> _Outcome:
    rule, unit = bound.rule, bound.unit
    floors: list[Limit] = list(rule.at_least or ())
    roofs: list[Limit] = list(rule.at_most or ())
    for extra in bound.added:
        floors += extra.at_least or ()
        roofs += extra.at_most or ()
    low, high = _measured_span(bound, reader)
    parts = []
    if floors:
        parts.append(_one_side(low, high, most(floors, unit, reader, bound.tables), at_least=True))
    if roofs:
        parts.append(_one_side(low, high, least(roofs, unit, reader, bound.tables), at_least=False))
    # The side that decides: one that is broken, else one that is not known, else the nearer limit.
    parts.sort(key=lambda part: ({False: 0, None: 1, True: 2}[part.met], part.margin or 0.0))
    return parts[0]


def _measured_span(bound: BoundRule, reader: Reader) -> tuple[float | None, float | None]:
    """Lowest and highest measured value to compare, in the rule's unit; twice the same but for an interval."""
    key = bound.key or ""
    statistic = bound.rule.statistic
    names = [with_statistic(key, "low"), with_statistic(key, "high")] if statistic == "interval" \
        else [with_statistic(key, statistic)]
    values = [reader.number(name) for name in names]
    own = QUANTITIES[key].unit or "1"
    converted = [None if value is None else convert(value, own, bound.unit) for value in values]
    return converted[0], converted[-1]


def _one_side(low: float | None, high: float | None, limit: Amount, at_least: bool) -> _Outcome:
    if limit.value is None or low is None or high is None:
        return _Outcome(None, limit.value, None, limit.why, limit.case_by_case)
    near, far = (low, high) if at_least else (high, low)
    margin = near - limit.value if at_least else limit.value - near
    broken = above(limit.value, far) if at_least else above(far, limit.value)
    if broken:
        return _Outcome(False, limit.value, far - limit.value if at_least else limit.value - far)
    if up_to(limit.value, near) if at_least else up_to(near, limit.value):
        return _Outcome(True, limit.value, margin)
    return _Outcome(None, limit.value, None, "the limit lies inside the interval: too near to call")


def _finding(bound: BoundRule, facts: Facts, reader: Reader, outcome: _Outcome,
             attestation: Attestation | None, remarks: Mapping[str, str]) -> Finding:
    rule, key, unit = bound.rule, bound.key, bound.unit
    standing: Standing = "clear" if outcome.met else "unknown" if outcome.met is None else rule.broken
    notes = [outcome.why] if outcome.why else []
    if standing == "unknown":
        if outcome.case_by_case:
            notes.append(f"no figure is published; {rule.approver or 'a named approver'} has to decide")
        notes.append(reader.missing())
    if rule.authorisable and attestation is not None and standing in ("stop", "unknown"):
        standing = "caution"
        when = attestation.at.isoformat(timespec="minutes")
        notes.append(f"authorised by {attestation.by}, {when}" + (f": {attestation.note}" if attestation.note else ""))
    for extra in bound.added:
        notes.append(f"a further rule adds its limit ({(extra.source or LOCAL_SOURCE).clause})")
    notes.append(replacement_note(bound, facts))
    notes += [remark for name, remark in remarks.items() if name in reader.asked]
    if rule.yardstick:
        notes.append(_upper_figure(bound, facts))
    notes.append(rule.note)
    measured, measured_si = _measured(bound, facts)
    own = QUANTITIES[key].unit if key else None
    return Finding(
        rule=rule.id, code=bound.code, weight=rule.weight, kind=rule.kind, protects=rule.protects,
        statement=statement(bound, outcome.limit, outcome.case_by_case), quantity=key, measured=measured,
        unit=unit if own else "", limit=outcome.limit, comparison=_comparison(bound), margin=outcome.margin,
        standing=standing, source=rule.source or LOCAL_SOURCE, statistic=rule.statistic,
        note="; ".join(note for note in notes if note), measured_si=measured_si,
        limit_si=None if outcome.limit is None or own is None else convert(outcome.limit, unit, own), si_unit=own or "",
    )


def replacement_note(bound: BoundRule, facts: Facts) -> str:
    """What the replaced rule would have said, so that a looser local rule never hides it."""
    if bound.replaced is None:
        return ""
    before = evaluate(bound.replaced, facts)
    said = "does not apply" if before is None else f"would stand at {before.standing}: {before.statement}"
    law = ", which is law," if bound.replaced.rule.weight == "law" else ""
    reason = f" Reason: {bound.rule.reason}" if bound.rule.reason else ""
    return f"local rule in place of {bound.replaced.rule.id}{law} which {said}{reason}"


def _measured(bound: BoundRule, facts: Facts) -> tuple[Value, float | None]:
    """The value to print, in the rule's unit and in SI."""
    key, rule = bound.key, bound.rule
    if key is None:
        return None, None
    reader = Reader(facts)
    own = QUANTITIES[key].unit
    if own is None:
        return reader.value(key), None
    name = key if rule.statistic == "interval" else with_statistic(key, rule.statistic)
    value = reader.number(name)
    return (None, None) if value is None else (convert(value, own, bound.unit), value)


def _upper_figure(bound: BoundRule, facts: Facts) -> str:
    """The upper end of what was reckoned, to stand beside the yardstick; '' where there is none."""
    key = bound.key or ""
    high = Reader(facts).number(with_statistic(key, "high")) if QUANTITIES[key].spread else None
    if high is None:
        return ""
    return f"its upper figure, 95 %, is {in_words(convert(high, QUANTITIES[key].unit or '1', bound.unit), bound.unit)}"


def _comparison(bound: BoundRule) -> Comparison:
    rule = bound.rule
    if rule.requires is not None:
        return "requires"
    if rule.equals is not None:
        return "is"
    if rule.at_least is not None and rule.at_most is not None:
        return "within"
    return "at_least" if rule.at_least is not None else "at_most"


def statement(bound: BoundRule, limit: float | None, case_by_case: bool = False) -> str:
    """The rule in one sentence, with its limit in the printed unit and in SI."""
    rule, key = bound.rule, bound.key
    own = QUANTITIES[key].unit if key else None
    if limit is None:
        figure = "a figure set case by case" if case_by_case else "a limit that is not known yet"
    else:
        figure = in_words(limit, bound.unit)
        if own and own != bound.unit and own != "1":
            figure += f" ({in_words(convert(limit, bound.unit, own), own)})"
    if rule.says:
        return rule.says.replace("{limit}", figure)
    meaning = QUANTITIES[key].meaning if key else rule.protects
    verb = {"at_least": f": at least {figure}", "at_most": f": at most {figure}", "within": f": limit {figure}",
            "is": f": {'yes' if rule.equals is True else 'no' if rule.equals is False else rule.equals}",
            "requires": ": as the rule asks"}[_comparison(bound)]
    return meaning[0].upper() + meaning[1:] + verb + "."
