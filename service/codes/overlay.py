"""A club's own rules laid over the published ones: stricter freely, looser only with a reason."""

from collections.abc import Iterator, Mapping

from service.codes.checks import addition_faults
from service.codes.errors import Fault
from service.codes.units import nearest_name, up_to
from service.models.rule import Limit, Rule

ALIKE = ("quantity", "zone", "unit", "statistic", "applies", "met_by", "equals", "requires", "kind")
"""What two rules have to share before their numbers alone tell which is the stricter."""


def overlay_faults(rule: Rule, where: str, rules: Mapping[str, Rule]) -> Iterator[Fault]:
    """Whether a local rule fits over the rules in force: a free id, known targets, a reason where it loosens."""
    if rule.id in rules and rule.replaces != rule.id:
        yield Fault(f"{where}/id", f"{rule.id!r} is taken; give the local rule an id of its own, "
                                   f"or say replaces = {rule.id!r}")
    yield from addition_faults(rule, where, rules)
    if rule.replaces is None:
        return
    if rule.replaces not in rules:
        yield Fault(f"{where}/replaces", f"{rule.replaces!r} is not a rule in force"
                                         f"{nearest_name(rule.replaces, list(rules))}")
    elif not rule.reason and not plainly_stricter(rule, rules[rule.replaces]):
        yield Fault(f"{where}/reason", f"the rule in place of {rule.replaces} is not plainly the stricter; "
                                       "say why it may stand")


def plainly_stricter(new: Rule, old: Rule) -> bool:
    """True when one rule asks at least as much as another in every case, as far as plain numbers show."""
    if any(getattr(new, name) != getattr(old, name) for name in ALIKE) or old.kind == "attested":
        return False
    if (new.broken == "caution" and old.broken == "stop") or (new.yardstick and not old.yardstick):
        return False
    if (new.authorisable and not old.authorisable) or (new.attested_if_missing and not old.attested_if_missing):
        return False
    return _at_least_as_high(new.at_least, old.at_least, 1.0) and _at_least_as_high(new.at_most, old.at_most, -1.0)


def _at_least_as_high(new: tuple[Limit, ...] | None, old: tuple[Limit, ...] | None, sign: float) -> bool:
    """Whether one list of limits is as strict as another: as high for floors (sign 1), as low for roofs (-1)."""
    if old is None:
        return True
    ours = [sign * limit for limit in new or () if isinstance(limit, float)]
    theirs = [sign * limit for limit in old if isinstance(limit, float)]
    if not ours or len(ours) != len(new or ()) or len(theirs) != len(old):
        return False
    return up_to(max(theirs), max(ours))
