"""What the sheet says of corrections learnt from flights."""

from __future__ import annotations

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from service.models.assessment import Assessment
from service.models.correction import Correction


def correction_note(correction: Correction | None, timezone: str) -> tuple[str, ...]:
    """For an entry's page, in a sentence; none without a correction."""
    if correction is None:
        return ()
    count = f"{correction.flights} flight{'' if correction.flights == 1 else 's'}"
    on = correction.at.astimezone(ZoneInfo(timezone)).date().isoformat()
    return (f"Drag taken times {correction.drag_factor:.2f} after {count}, accepted by {correction.by} on {on}.",)


def reckoned_corrections(assessments: Iterable[Assessment], timezone: str) -> tuple[tuple[str, str], ...]:
    """Every correction that bears on one of them, once: for whom, and what it rests on."""
    found = {each.correction: None for each in assessments if each.correction is not None}
    return tuple(
        (
            correction.rocket or "Every rocket without a correction of its own",
            f"{correction_note(correction, timezone)[0]} {correction.evidence}",
        )
        for correction in sorted(found, key=lambda each: (each.rocket is None, each.rocket or ""))
    )
