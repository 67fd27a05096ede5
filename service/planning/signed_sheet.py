"""The range sheet with its rulings and its signature, and in so many words what the signature does not settle."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from reports.sheet_data import EntryPage, RangeSheet, Ruling, Signature, Tick
from service.models.assessment import Assessment, DayAssessment
from service.models.day import LaunchDay
from service.models.entry import Attestation
from service.models.finding import WORST_FIRST
from service.planning.assess import attention
from service.planning.identity import document_hash
from service.planning.sheet import range_sheet

__all__ = ["Ruling", "Signature", "settled_sheet"]

Ticked = Mapping[str, Attestation]


def settled_sheet(
    day: LaunchDay,
    assessments: Sequence[Assessment],
    rulings: Mapping[str, Ruling],
    *,
    made_at: datetime,
    age_min: float,
    not_assessed: Sequence[str] = (),
    signature: Signature | None = None,
    address: Callable[[str], str] | None = None,
    checked_on: Mapping[str, date] | None = None,
) -> RangeSheet:
    """The sheet of a day, or of one entry.

    Parameters
    ----------
    day
        The document as it stands.
    assessments
        The current assessments of the entries to print.
    rulings
        The last ruling on each entry that has one, by entry; its word is `lapsed` where it has.
    made_at : datetime
        Printed on the sheet; an aware time.
    age_min : float
        Age of the conditions then. [min]
    not_assessed
        Entries that should be on it and have no assessment: named, not left out in silence.
    signature
        Set for a sheet that is signed next; None prints UNSIGNED on every page.
    address
        What the code on an entry's page leads to, for an assessment's id.
    checked_on
        When the organiser compared each of the day's codes with the text in force, by its id.
    """
    assessments, zone = sorted(assessments, key=attention), ZoneInfo(day.timezone)
    result = DayAssessment(
        day=day.name,
        date=day.date.isoformat(),
        document=document_hash(day.model_dump_json(by_alias=True).encode()),
        engine=assessments[0].engine if assessments else "unknown",
        conditions_at=day.conditions.observed_at.isoformat(),
        standings={each: sum(each == a.standing for a in assessments) for each in WORST_FIRST},
        assessments=tuple(assessments),
    )
    sheet = range_sheet(day, result, made_at=made_at, age_min=age_min, address=address, checked_on=checked_on)
    pages = tuple(
        _ruled(
            _ticked(page, a, {**day.attestations, **day.entry_by_id(a.entry).attestations}, zone), rulings.get(a.entry)
        )
        for page, a in zip(sheet.entries, assessments, strict=True)
    )
    ticks = {item.rule: item for a in assessments for item in a.checklist if item.per == "day"}
    return replace(
        sheet,
        entries=pages,
        ticks=tuple(
            _tick(tick, day.attestations.get(rule), zone) for rule, tick in zip(ticks, sheet.ticks, strict=True)
        ),
        unsettled=tuple(_unsettled(assessments, rulings, not_assessed)),
        signature=replace(signature, at=signature.at.astimezone(zone)) if signature else None,
    )


def _unsettled(
    assessments: Sequence[Assessment], rulings: Mapping[str, Ruling], not_assessed: Sequence[str]
) -> list[str]:
    unruled = [a.entry for a in assessments if a.entry not in rulings]
    lapsed = [a.entry for a in assessments if a.entry in rulings and rulings[a.entry].word == "lapsed"]
    kinds = (
        (unruled, "When this sheet was made the range safety officer had not ruled on {}."),
        (lapsed, "The ruling on {} has lapsed: it ruled on an earlier assessment, and none has replaced it."),
        (list(not_assessed), "Nothing is known of {}: not assessed, and not on this sheet."),
    )
    return [sentence.format(_listed(entries)) for entries, sentence in kinds if entries]


def _listed(entries: list[str]) -> str:
    """Entries by their ids.

    >>> _listed(["e-01"]), _listed(["e-01", "e-02", "e-03"])
    ('entry e-01', 'entries e-01, e-02 and e-03')
    """
    if len(entries) == 1:
        return f"entry {entries[0]}"
    return f"entries {', '.join(entries[:-1])} and {entries[-1]}"


def _ruled(page: EntryPage, ruling: Ruling | None) -> EntryPage:
    why = ""
    if ruling is None:
        why = "NOT RULED ON when this sheet was made."
    elif ruling.word == "lapsed":
        why = "THE RULING HAS LAPSED: it ruled on an earlier assessment than this one."
    return replace(page, ruling=ruling, unsettled=why)


def _ticked(page: EntryPage, assessment: Assessment, stated: Ticked, zone: ZoneInfo) -> EntryPage:
    """What was attested since the entry was assessed."""
    rules = [item.rule for item in assessment.checklist if item.per == "entry"]
    ticks = tuple(_tick(tick, stated.get(rule), zone) for rule, tick in zip(rules, page.ticks, strict=True))
    return replace(page, ticks=ticks)


def _tick(tick: Tick, stated: Attestation | None, zone: ZoneInfo) -> Tick:
    return tick if stated is None else replace(tick, by=stated.by, at=stated.at.astimezone(zone))
