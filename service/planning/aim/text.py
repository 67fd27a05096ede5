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
    yield f"  {aiming.words}"
    yield f"  {aiming.gains}"
    if aiming.people_unknown:
        yield f"  {aiming.people_unknown}"
    if aiming.worsens:
        count = len(aiming.worsens)
        yield f"  It makes {count} finding{'s' if count > 1 else ''} worse, listed below."
        yield f"  {aiming.milder.words}" if aiming.milder else "  No setting on the way there brings it nearer without."
    yield f"  {aiming.worst_why}"
    yield f"  Target: {aiming.target_name}. {aiming.limit_words} Searched in steps of {aiming.step}."
    yield ""
    yield f"  {'setting':<48}{'to the target':>14}{'outside':>10}{'people':>10}{'people, nothing open':>22}"
    listed = [("now", aiming.before), ("found", aiming.after), ("not to be used", aiming.worst)]
    if aiming.milder:
        listed.insert(2, ("nothing worse", aiming.milder.setting))
    for name, each in listed:
        yield _row(name, each)
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
    people, ballistic = (
        "UNKNOWN" if share is None else share_words(share) for share in (each.people_share, each.ballistic_people_share)
    )
    return f"  {where:<48}{each.distance_m:>12,.0f} m{share_words(each.outside_share):>10}{people:>10}{ballistic:>22}"
