"""Ruling on an entry, for pages and API alike: stale conditions make rulings wait."""

from __future__ import annotations

from service.planning.errors import Fault
from service.store import Verdict
from service.store.rulings import Ruling
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.reader import age_of, now

FORBIDDEN_BY_POLICY = ("code", "club")


def rule_on(day_id: str, entry_id: str, verdict: Verdict, assessment_id: str, based_on: int) -> Ruling:
    """Record the officer's word.

    Parameters
    ----------
    assessment_id : str
        The assessment that the officer saw.
    based_on : int
        The number of the ruling that the officer saw, 0 for none.

    Raises
    ------
    Misfit
        When an approval rests on conditions that are too old, or goes over a stop where the day's policy has none.
    StoreError
        When somebody was faster, the assessment is not the current one, or an approval lacks something.
    """
    store = the_store()
    if verdict.word == "approved":
        policy = store.days.header(day_id).document.policy
        age = age_of(store.weather.current(day_id).document, policy, now())
        if age.stale:
            limit = f"a reading at most {policy.conditions_max_age_min:g} min old"
            raise Misfit(
                f"The conditions are {age.words}; enter a new reading, then rule.", [Fault("/word", age.words, limit)]
            )
        if not policy.approve_over_code:
            _refuse_over_code(assessment_id)
    by = caller().name()
    return store.rulings.rule(
        day_id, entry_id, verdict, by, assessment_id=assessment_id, based_on=based_on, role="rso"
    )


def _refuse_over_code(assessment_id: str) -> None:
    """Refuse an approval over a stop of a code or a club rule; one of law the store refuses anyway."""
    known = the_store().assessments.find([assessment_id]).get(assessment_id)  # of an unknown one the store tells
    stops = [
        each
        for each in (known.findings if known else ())
        if each.standing == "stop" and each.weight in FORBIDDEN_BY_POLICY
    ]
    if stops:
        faults = [Fault("/word", f"approval over: {each.statement}", "held or refused") for each in stops]
        raise Misfit("This day's policy allows no approval over a stop of a code or a club rule.", faults)
