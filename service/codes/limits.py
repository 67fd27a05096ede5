"""Working out limits and conditions from facts, with three answers: yes, no, not known."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.codes.facts import Reader, Value
from service.codes.quantities import QUANTITIES
from service.codes.tables import CASE_BY_CASE, Table
from service.codes.units import above, convert, up_to
from service.models.rule import Band, Condition, Limit, Scalar, Term

Tables = Mapping[str, Table]


@dataclass(frozen=True)
class Amount:
    """A limit in the rule's unit, or why there is none."""

    value: float | None
    why: str = ""
    case_by_case: bool = False


def amount(limit: Limit, unit: str, reader: Reader, tables: Tables) -> Amount:
    """Work out one limit in `unit`. Anything missing along the way leaves it without a value."""
    if not isinstance(limit, Term):
        return Amount(limit)
    if limit.value is not None:
        return Amount(convert(limit.value, limit.unit or unit, unit))
    if limit.of is not None:
        value = reader.number(limit.of)
        own_unit = QUANTITIES[limit.of].unit
        if value is None or own_unit is None:
            return Amount(None)
        return Amount(limit.times * convert(value, own_unit, unit))
    if limit.table is not None:
        return _from_table(limit, unit, reader, tables)
    if limit.larger_of is not None:
        return most(limit.larger_of, unit, reader, tables)
    if limit.smaller_of is not None:
        return least(limit.smaller_of, unit, reader, tables)
    if limit.when is not None and limit.then is not None and limit.otherwise is not None:
        answer = holds(limit.when, reader, tables)
        if answer is None:
            return Amount(None)
        return amount(limit.then if answer else limit.otherwise, unit, reader, tables)
    return Amount(None, case_by_case=True)


def most(limits: Sequence[Limit], unit: str, reader: Reader, tables: Tables) -> Amount:
    """The largest of several limits; without a value when any of them has none."""
    return _pick(max, limits, unit, reader, tables)


def least(limits: Sequence[Limit], unit: str, reader: Reader, tables: Tables) -> Amount:
    """The smallest of several limits; without a value when any of them has none."""
    return _pick(min, limits, unit, reader, tables)


def _pick(choose, limits: Sequence[Limit], unit: str, reader: Reader, tables: Tables) -> Amount:
    amounts = [amount(limit, unit, reader, tables) for limit in limits]
    values = [each.value for each in amounts if each.value is not None]
    if len(values) == len(amounts):
        return Amount(choose(values))
    why = "; ".join(dict.fromkeys(each.why for each in amounts if each.why))
    return Amount(None, why, any(each.case_by_case for each in amounts))


def _from_table(term: Term, unit: str, reader: Reader, tables: Tables) -> Amount:
    table = tables[term.table or ""]
    key, key_unit = reader.number(table.key), QUANTITIES[table.key].unit
    if key is None or key_unit is None:
        return Amount(None)
    cell = table.cell(key, key_unit, term.column or "")
    if isinstance(cell, str):
        return Amount(None, case_by_case=True) if cell == CASE_BY_CASE else Amount(None, cell)
    return Amount(term.times * convert(cell, table.unit, unit))


def holds(condition: Condition, reader: Reader, tables: Tables) -> bool | None:
    """Whether a condition is met: True, False, or None where the facts do not say.

    One certain no makes a conjunction no, and one certain yes makes a disjunction yes, whatever else is missing.
    What the answer did not hang on is not held against the facts.
    """
    trial = Reader(reader.facts)
    answers = [_matches(name, test, trial, tables) for name, test in condition.tests.items()]
    answers += [holds(part, trial, tables) for part in condition.all]
    if condition.any:
        answers.append(either(holds(part, trial, tables) for part in condition.any))
    answers += [_opposite(holds(part, trial, tables)) for part in condition.none]
    answer = _opposite(either(_opposite(each) for each in answers))
    if answer is None:
        reader.wanted.update(trial.wanted)
    return answer


def either(answers) -> bool | None:
    """True when any answer is; None when none is but some are not known; else False."""
    answers = list(answers)
    if True in answers:
        return True
    return None if None in answers else False


def _opposite(answer: bool | None) -> bool | None:
    return None if answer is None else not answer


def _matches(name: str, test: Scalar | tuple[Scalar, ...] | Band, reader: Reader, tables: Tables) -> bool | None:
    if isinstance(test, Band):
        return _within(name, test, reader, tables)
    value = reader.value(name)
    if value is None:
        return None
    wanted = test if isinstance(test, tuple) else (test,)
    return any(_same(value, each) for each in wanted)


def _same(value: Value, wanted: Scalar) -> bool:
    return isinstance(value, bool) == isinstance(wanted, bool) and value == wanted


def _within(name: str, band: Band, reader: Reader, tables: Tables) -> bool | None:
    value, unit = reader.number(name), QUANTITIES[name].unit
    if value is None or unit is None:
        return None
    tests = ((band.over, above), (band.at_least, lambda x, bound: up_to(bound, x)), (band.up_to, up_to),
             (band.below, lambda x, bound: above(bound, x)))
    answers: list[bool | None] = []
    for bound, test in tests:
        if bound is not None:
            figure = amount(bound, unit, reader, tables).value
            answers.append(None if figure is None else test(value, figure))
    return _opposite(either(_opposite(each) for each in answers))
