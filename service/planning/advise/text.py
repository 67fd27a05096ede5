"""Advice as lines of text, for the command."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import wrap

from reports.amounts import Amount
from reports.figures import amount_text
from service.models.advice import Excluded, Fix, Ladder, Pick, Rung
from service.models.assessment import Spread
from service.models.together import Together
from service.planning.advise.grouped import STRAIGHT_FIRST, FixGroup, grouped
from service.planning.call_first import MARK

WIDE = 118
FOOTER = "Local code, the authority having jurisdiction and the range safety officer come first."


def advise_lines(
    ladder: Ladder, picks: Iterable[Pick], fixes: Iterable[Fix] = (), together: Together | None = None
) -> Iterator[str]:
    """Everything advised for one entry: the picks first, then the ladder, then the fixes and what they come to."""
    yield from pick_lines(ladder, picks)
    yield ""
    yield from ladder_lines(ladder)
    listed = list(fixes)
    if listed:
        yield ""
        yield from fix_lines(listed)
    if together:
        yield from together_lines(together)
    yield FOOTER


def pick_lines(ladder: Ladder, picks: Iterable[Pick]) -> Iterator[str]:
    """One line an aim."""
    yield f"{ladder.entry}  {ladder.rocket}, {ladder.flyer}, pad {ladder.pad}"
    listed = list(picks)
    served = any(pick.motor for pick in listed)
    said: set[str] = set()
    for pick in listed:
        if pick.motor:
            stands = "" if pick.standing in (None, "clear") else f"({pick.standing}) "
            line = f"  {pick.aim:<9} {stands}{_chosen(ladder.rung(pick.motor))}. {pick.why}"
        elif pick.why not in said:  # where none can be picked, all aims say the same
            said.add(pick.why)
            line = f"  {pick.aim:<9} none. {pick.why}" if served else f"  {pick.why}"
        else:
            continue
        yield from wrap(line, WIDE, subsequent_indent=" " * 12)


def _chosen(rung: Rung) -> str:
    return f"{rung.name}, delay {rung.delay_s:g} s" if rung.delay_s is not None else rung.name


def ladder_lines(ladder: Ladder) -> Iterator[str]:
    """The rungs, lowest apogee first, then what was left out and why."""
    ceiling = f"ceiling {ladder.ceiling_m:,.0f} m" if ladder.ceiling_m is not None else "no ceiling is open"
    yield f"Motors on offer that fit, flown in these conditions, lowest first ({ceiling}):"
    head = ("motor", "delay", "apogee", "off guide", "T/W", "margin", "opens at", "inside", "a flight", "stands at")
    yield "  " + "".join(name.ljust(wide) for name, wide in zip(head, WIDTHS, strict=True)).rstrip()
    for rung in ladder.rungs:
        yield "  " + "".join(cell.ljust(wide) for cell, wide in zip(_cells(rung), WIDTHS, strict=True)).rstrip()
        yield from (f"      {line}" for line in _below(rung))
    if ladder.rungs:
        floor = ladder.rungs[0].exit_floor_mps
        yield "  T/W: average thrust over weight at lift-off, 5 or more by common practice. Margin: in body diameters."
        yield f"  Floor for the speed off the guide: {floor:.1f} m/s, 30 mph or four times the wind (common practice)."
        yield (
            f"  Motors that pass or can be picked were flown {ladder.policy_samples:,} times or more, the others "
            f"{ladder.screening_samples:,} times or more; the ± holds 95 % of the flights; the model errs too."
        )
    yield from excluded_lines(ladder.excluded)


WIDTHS = (22, 7, 14, 11, 6, 8, 10, 9, 13, 10)


def _cells(rung: Rung) -> tuple[str, ...]:
    delay = f"{rung.delay_s:g} s" if rung.delay_s is not None else "-"
    inside = amount_text(Amount(rung.inside.estimate, "chance"), "si") if rung.inside else "unknown"
    cost = f"{rung.cost.amount} {rung.cost.currency}" if rung.cost else "not known"
    return (
        rung.name, delay, _with_spread(rung.apogee_m), _one(rung.exit_speed_mps, "m/s"),
        f"{rung.thrust_to_weight:.1f}", _one(rung.static_margin_cal, ""), _one(rung.deploy_speed_mps, "m/s"), inside,
        cost, f"{rung.standing} {MARK}" if rung.call_first else rung.standing,
    )  # fmt: skip


def _below(rung: Rung) -> Iterator[str]:
    words = [
        "single use" if rung.case == "single_use" else "reload",
        _certification(rung),
        f"best delay {rung.best_delay_s.nominal:.1f} s" if rung.best_delay_s.nominal is not None else "",
        rung.effect or "effect not stated",
        f"{rung.stock} in stock" if rung.stock is not None else "stock not counted",
        f"off the guide by even thrust {rung.exit_rule_mps:.1f} m/s (cross-check, common practice)",
    ]
    yield "; ".join(word for word in words if word)
    yield from rung.notes
    if rung.call_first:
        yield f"{MARK}: {rung.call_first} It then stands at {rung.called}."
    if not rung.passes:
        yield rung.decides


def _certification(rung: Rung) -> str:
    if rung.certification_needed is None:
        return "no certification would do"
    needs = f"needs level {rung.certification_needed}" if rung.certification_needed else "needs no certification"
    return needs + (", flyer of 18 or older" if rung.adult_needed else "")


def _one(spread: Spread, unit: str) -> str:
    return f"{spread.nominal:.1f} {unit}".strip() if spread.nominal is not None else "unknown"


def _with_spread(spread: Spread) -> str:
    return (
        amount_text(Amount(spread.nominal, "length", spread.half_width), "si")
        if spread.nominal is not None
        else "unknown"
    )


def excluded_lines(excluded: Iterable[Excluded]) -> Iterator[str]:
    """One sentence for each motor that was not flown; motors with the same reason share it."""
    names: dict[str, list[str]] = {}
    for each in excluded:
        names.setdefault(each.why, []).append(each.name)
    if names:
        yield "Left out:"
    for why, alike in names.items():
        yield from wrap(f"  {', '.join(alike)}: {why[:1].lower() + why[1:]}", WIDE, subsequent_indent=" " * 6)


def fix_lines(fixes: Iterable[Fix]) -> Iterator[str]:
    """What would clear the findings: each change once, with all that it clears; then those that nothing clears."""
    listed = list(fixes)
    yield "What would clear what is not clear:"
    if any(each.rests_on for each in listed):
        yield f"  {STRAIGHT_FIRST}"
    for group in grouped(listed):
        yield from _group_lines(group)
    hopeless = [each for each in listed if each.found == "none"]
    if hopeless:
        yield "Nothing found for:"
    for fix in hopeless:
        yield f"  {fix.before}: {fix.statement} Found: {fix.measured_before}."
        yield from wrap(fix.words, WIDE, initial_indent="    ", subsequent_indent="    ")


def _group_lines(group: FixGroup) -> Iterator[str]:
    fix = group.fix
    yield from wrap(f"  {fix.words}", WIDE, subsequent_indent="  ")
    for each in group.clears:
        yield f"    clears {each.before}: {each.statement} Found: {each.measured_before}. Then: {each.measured_after}."
    yield from (f"    clears too: {statement}" for statement in group.besides)
    steps = "; ".join(step.step for step in fix.steps)
    yield f"    the entry then stands at {fix.standing_after} ({fix.samples:,} flights; step: {steps})"
    if fix.people_unknown:
        yield f"    {fix.people_unknown}"
    for said in dict.fromkeys(each.smaller for each in group.clears):
        yield f"    {said}"
    yield from (f"    {note}" for note in dict.fromkeys(note for each in group.clears for note in each.notes))
    if group.shared:
        yield _also_serves(group.shared)


def _also_serves(others: tuple[str, ...]) -> str:
    return f"    The pad also serves {', '.join(others)}: set it for this flight only, or assess those again."


def together_lines(together: Together) -> Iterator[str]:
    """What the changes come to when they are made together: the list of them, what stays, how it was verified."""
    yield "All together:"
    yield from wrap(f"  {together.says}", WIDE, subsequent_indent="  ")
    for number, step in enumerate(together.steps, start=1):
        yield from wrap(f"    {number}. {step.words}", WIDE, subsequent_indent="       ")
    for note in together.notes:
        yield from wrap(note, WIDE, initial_indent="    ", subsequent_indent="    ")
    for each in together.findings:
        if each.after != "clear":
            found = f"Found: {each.measured_before}. Then: {each.measured_after}."
            yield f"    stays at {each.after}: {each.statement} {found}"
            yield from wrap(each.why, WIDE, initial_indent="      ", subsequent_indent="      ")
    yield f"    the entry then stands at {together.standing_after} ({together.samples:,} flights)"
    if together.people_unknown:
        yield f"    {together.people_unknown}"
    if together.pad_shared_with:
        yield _also_serves(together.pad_shared_with)
