"""Whether rules and tables name things that exist: quantities, zones, units, tables, columns, other rules."""

from collections.abc import Iterator, Mapping

from service.codes.errors import Fault
from service.codes.limits import Tables
from service.codes.quantities import QUANTITIES, ZONE_KINDS, unknown_name, with_statistic
from service.codes.tables import Table
from service.codes.units import UNITS, nearest_name
from service.models.rule import Band, Condition, Limit, Rule, Scalar, Term


def table_faults(table: Table, where: str) -> Iterator[Fault]:
    """Everything that a table names and that does not exist."""
    yield from _unit_faults(table.unit, None, f"{where}/unit")
    if table.key not in QUANTITIES:
        yield Fault(f"{where}/key", unknown_name(table.key))
    else:
        yield from _unit_faults(table.key_unit, QUANTITIES[table.key].unit, f"{where}/key_unit")


def rule_faults(rule: Rule, where: str, tables: Tables) -> Iterator[Fault]:
    """Everything that a rule names and that does not exist, or that cannot be compared."""
    for part, condition in (("applies", rule.applies), ("requires", rule.requires), ("met_by", rule.met_by)):
        if condition is not None:
            yield from _condition_faults(condition, f"{where}/{part}", tables)
    if rule.quantity is None:
        return
    if rule.zone is not None and rule.zone not in ZONE_KINDS:
        yield Fault(f"{where}/zone", f"{rule.zone!r} is not a kind of zone{nearest_name(rule.zone, ZONE_KINDS)}; "
                                     f"the kinds are {', '.join(ZONE_KINDS)}")
        return
    key = f"{rule.zone}_{rule.quantity}" if rule.zone else rule.quantity
    if key not in QUANTITIES:
        yield Fault(f"{where}/quantity", unknown_name(key))
        return
    quantity = QUANTITIES[key]
    if rule.statistic != "nominal" and not quantity.spread:
        yield Fault(f"{where}/statistic", f"{key} has no spread, found {rule.statistic!r}; use 'nominal'")
    elif with_statistic(key, "nominal" if rule.statistic == "interval" else rule.statistic) not in QUANTITIES:
        yield Fault(f"{where}/statistic", f"{key} is one statistic already; name the plain quantity")
    if rule.equals is not None:
        yield from _scalar_faults(key, rule.equals, f"{where}/equals")
        return
    if rule.requires is not None:
        return
    if not quantity.is_number:
        yield Fault(f"{where}/quantity", f"{key} is not a number and has no limit; use 'equals'")
        return
    if rule.unit is not None:
        faults = list(_unit_faults(rule.unit, quantity.unit, f"{where}/unit"))
        yield from faults
        if faults:
            return
    unit = rule.unit or quantity.unit or "1"
    for name, limits in (("at_least", rule.at_least), ("at_most", rule.at_most)):
        for index, limit in enumerate(limits or ()):
            place = f"{where}/{name}/{index}" if len(limits or ()) > 1 else f"{where}/{name}"
            yield from _limit_faults(limit, unit, place, tables)


def addition_faults(rule: Rule, where: str, rules: Mapping[str, Rule]) -> Iterator[Fault]:
    """Whether the rule that a rule adds to exists and can take its limit."""
    if rule.adds_to is None:
        return
    other = rules.get(rule.adds_to)
    if other is None:
        yield Fault(f"{where}/adds_to", f"{rule.adds_to!r} is not a rule in force"
                                        f"{nearest_name(rule.adds_to, list(rules))}")
        return
    if rule.id == other.id or other.adds_to is not None:
        yield Fault(f"{where}/adds_to", f"{other.id!r} has no finding of its own to add to")
    if (rule.quantity, rule.zone, rule.unit) != (other.quantity, other.zone, other.unit) \
            or (rule.at_least is None, rule.at_most is None) != (other.at_least is None, other.at_most is None):
        yield Fault(f"{where}/adds_to", f"a limit added to {other.id} has its quantity ({other.quantity}), "
                                        f"its unit ({other.unit or 'as registered'}) and its direction")
    if rule.applies is not None and rule.applies != other.applies:
        yield Fault(f"{where}/applies", f"a limit added to {other.id} applies when that rule does; leave this out")


def _limit_faults(limit: Limit, unit: str, where: str, tables: Tables) -> Iterator[Fault]:
    if not isinstance(limit, Term):
        return
    if limit.unit is not None:
        yield from _unit_faults(limit.unit, unit, f"{where}/unit")
    if limit.of is not None:
        if limit.of not in QUANTITIES:
            yield Fault(f"{where}/of", unknown_name(limit.of))
        else:
            yield from _kind_faults(QUANTITIES[limit.of].unit, unit, f"{where}/of", limit.of)
    if limit.table is not None:
        table = tables.get(limit.table)
        if table is None:
            meant = nearest_name(limit.table, list(tables))
            yield Fault(f"{where}/table", f"{limit.table!r} is not a known table{meant}")
        else:
            yield from _kind_faults(table.unit, unit, f"{where}/table", limit.table)
            if limit.column not in table.columns:
                yield Fault(f"{where}/column", f"{limit.column!r} is not a column of {limit.table}; "
                                               f"it has {', '.join(table.columns)}")
    if limit.when is not None:
        yield from _condition_faults(limit.when, f"{where}/if", tables)
    inner = [("then", limit.then), ("else", limit.otherwise)]
    inner += [(f"larger_of/{i}", each) for i, each in enumerate(limit.larger_of or ())]
    inner += [(f"smaller_of/{i}", each) for i, each in enumerate(limit.smaller_of or ())]
    for name, each in inner:
        if each is not None:
            yield from _limit_faults(each, unit, f"{where}/{name}", tables)


def _condition_faults(condition: Condition, where: str, tables: Tables) -> Iterator[Fault]:
    for name, test in condition.tests.items():
        here = f"{where}/{name}"
        if name not in QUANTITIES:
            yield Fault(here, unknown_name(name))
        elif isinstance(test, Band):
            unit = QUANTITIES[name].unit
            if unit is None:
                yield Fault(here, f"{name} is not a number and has no band; use a value")
                continue
            for bound in ("over", "at_least", "up_to", "below"):
                limit = getattr(test, bound)
                if limit is not None:
                    yield from _limit_faults(limit, unit, f"{here}/{bound}", tables)
        else:
            for value in test if isinstance(test, tuple) else (test,):
                yield from _scalar_faults(name, value, here)
    for group in ("all", "any", "none"):
        for index, part in enumerate(getattr(condition, group)):
            yield from _condition_faults(part, f"{where}/{group}/{index}", tables)


def _scalar_faults(name: str, value: Scalar, where: str) -> Iterator[Fault]:
    quantity = QUANTITIES[name]
    if quantity.values:
        if value not in quantity.values:
            yield Fault(where, f"{name} is one of {', '.join(quantity.values)}, found {value!r}")
    elif quantity.is_number == isinstance(value, bool) or isinstance(value, str):
        yield Fault(where, f"{name} is {'a number' if quantity.is_number else 'true or false'}, found {value!r}")


def _unit_faults(unit: str, wanted: str | None, where: str) -> Iterator[Fault]:
    if unit not in UNITS:
        yield Fault(where, f"{unit!r} is not a known unit{nearest_name(unit, list(UNITS))}; "
                           f"the units are {', '.join(UNITS)}")
    elif wanted is not None:
        yield from _kind_faults(unit, wanted, where, unit)


def _kind_faults(unit: str | None, wanted: str, where: str, name: str) -> Iterator[Fault]:
    if unit is None:
        yield Fault(where, f"{name} is not a number; a limit in {wanted} needs one")
    elif unit in UNITS and UNITS[unit].kind != UNITS[wanted].kind:
        yield Fault(where, f"{name} is a {UNITS[unit].kind} ({unit}), "
                           f"but the limit is a {UNITS[wanted].kind} ({wanted})")
