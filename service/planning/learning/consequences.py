"""What accepting a correction of the drag does: what on the launch day would stand otherwise."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.learning import FindingMoved, Proposal, StandingMoved
from service.planning.assess import assess_entry
from service.planning.compare import compare
from service.planning.ground import ground_of
from service.planning.learning import wording
from service.planning.learning.proposals import accepted
from service.planning.plain_words import plain_words

SAMPLES = 256  # of each entry, with the same draws before and after: what differs, differs by the drag


def with_consequences(
    day: LaunchDay, proposals: Sequence[Proposal], check: Callable[[], None], told: Callable[[str], None]
) -> list[Proposal]:
    """The proposals; those of the drag with what would change for the day's entries.

    `check` is called before every assessment, and may raise; `told` hears the entry.
    """
    samples = min(SAMPLES, day.policy.samples)
    few = day.model_copy(update={"policy": day.policy.model_copy(update={"samples": samples})})
    ground = ground_of(few)
    before: dict[str, Assessment] = {}

    def assessed(given: LaunchDay, entry: Entry) -> Assessment:
        told(entry.id)
        check()
        return assess_entry(given, entry, ground=ground, most_samples=samples)

    def moved(proposal: Proposal) -> Proposal:
        after = accepted(few, proposal, "whoever accepts it", few.conditions.observed_at)
        flown = [entry for entry in few.entries if _factor(few, entry) != _factor(after, entry)]
        found = []
        for entry in flown:
            if entry.id not in before:
                before[entry.id] = assessed(few, entry)
            change = compare(before[entry.id], assessed(after, entry))
            findings = tuple(
                FindingMoved(rule=each.rule, statement=plain_words(each.statement), before=each.before,
                             after=each.after, worse=each.worse)
                for each in change.findings
            )  # fmt: skip
            if change.standing_changed or findings:
                found.append(
                    StandingMoved(entry=entry.id, rocket=entry.rocket.name, before=change.before, after=change.after,
                                  findings=findings)
                )  # fmt: skip
        return proposal.model_copy(
            update={"moved": tuple(found), "moved_words": wording.moved_words(len(flown), found, samples)}
        )

    return [moved(each) if each.kind == "drag" else each for each in proposals]


def _factor(day: LaunchDay, entry: Entry) -> float:
    correction = day.correction_of(entry.rocket.name)
    return correction.drag_factor if correction else 1.0
