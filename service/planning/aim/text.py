"""A setting as lines for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from service.models.aiming import Aiming, AimSetting
from service.planning.aim.wording import setting_words
from service.planning.table import WIDTH, share_words


def aim_lines(aiming: Aiming) -> Iterator[str]:
    """The answer first, then what it rests on."""
    for line in _lines(aiming):
        yield from textwrap.wrap(line, WIDTH, subsequent_indent=" " * 4) or [""]


def _lines(aiming: Aiming) -> Iterator[str]:
    yield f"{aiming.entry}  {aiming.rocket}, pad {aiming.pad}, conditions of {aiming.conditions_at}"
    if aiming.people_unknown:
        yield f"  {aiming.people_unknown}"
    if aiming.worsens:
        leave = f"Leave pad {aiming.pad} as it is where nothing may stand worse than now."
        yield f"  {aiming.milder.words if aiming.milder else leave}"
        count = len(aiming.worsens)
        yield (
            f"  Nearest to the target, but with {count} finding{'s' if count > 1 else ''} worse than now: "
            f"{aiming.words} {aiming.gains}"
        )
        if not aiming.milder:
            yield "  No setting on the way there brings it a tenth nearer without."
    else:
        yield f"  {aiming.words}"
        yield f"  {aiming.gains}"
    yield from (f"  {each}" for each in aiming.costs)
    yield f"  {aiming.worst_why}"
    yield f"  Target: {aiming.target_name}. {aiming.limit_words} Searched in steps of {aiming.step}."
    yield ""
    yield f"  {'setting':<46}{'to target':>11}{'outside':>10}{'people':>10}{'outside, shut':>15}{'people, shut':>14}"
    listed = [("now", aiming.before), ("found", aiming.after), ("not to be used", aiming.worst)]
    if aiming.milder:
        listed.insert(2, ("nothing worse", aiming.milder.setting))
    for name, each in listed:
        yield _row(name, each)
    yield "  shut: nothing opens."
    yield ""
    now, then = aiming.standing_before, aiming.standing_after
    stays = f"stays at {now}" if now == then else f"would stand at {then}; it stands at {now} now"
    yield f"  Set so, the entry {stays} (full assessment, {aiming.samples:,} flights)."
    yield from (f"  Stands better: {each}" for each in aiming.betters)
    yield from (f"  Stands worse: {each.partition(': ')[2] or each}" for each in aiming.worsens)
    if aiming.changes and aiming.pad_shared_with:
        others = ", ".join(aiming.pad_shared_with)
        yield f"  The pad also serves {others}: set it for this flight only, or assess those again."
    yield from (f"  {note}" for note in aiming.notes)
    yield "  Local code, the authority having jurisdiction and the range safety officer come first."


def _row(name: str, each: AimSetting) -> str:
    where = f"{name}: {setting_words(each.tilt_deg, each.azimuth_deg)}"
    outside, people, outside_shut, people_shut = (
        "UNKNOWN" if share is None else share_words(share)
        for share in (
            each.outside_share, each.people_share, each.ballistic_outside_share, each.ballistic_people_share
        )
    )  # fmt: skip
    return f"  {where:<46}{each.distance_m:>9,.0f} m{outside:>10}{people:>10}{outside_shut:>15}{people_shut:>14}"
