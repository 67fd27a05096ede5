"""What a day asks after a misfire, where that is more than the codes' own item says."""

from __future__ import annotations

from service.models.policy import Policy

MISFIRE_RULES = ("us-mr-misfire", "us-hpr-misfire")
"""The items of the codes that name the wait; each says the least that the codes ask."""


def longer_wait(policy: Policy) -> str:
    """A sentence to stand below a checklist; empty where the day waits no longer than the codes ask.

    >>> longer_wait(Policy(misfire_wait_s=300.0))
    'After a misfire nobody approaches for 300 s on this day, or longer where an item says so.'
    """
    seconds = _longer(policy)
    said = f"After a misfire nobody approaches for {seconds} on this day, or longer where an item says so."
    return said if seconds else ""


def longer_than_said(policy: Policy, rule: str) -> str:
    """A sentence to stand at the item of a rule; empty where the item says all.

    >>> longer_than_said(Policy(misfire_wait_s=1800.0), "us-mr-misfire")
    'On this day nobody approaches for 1,800 s.'
    """
    seconds = _longer(policy)
    return f"On this day nobody approaches for {seconds}." if seconds and rule in MISFIRE_RULES else ""


def _longer(policy: Policy) -> str:
    longer = policy.misfire_wait_s > Policy().misfire_wait_s
    return f"{policy.misfire_wait_s:,g} s" if longer else ""
