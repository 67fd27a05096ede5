"""Advice that is made by a program: the very change that it has read, named by the assessment that verified it."""

from __future__ import annotations

from typing import Any

from flask import request

from service.planning.errors import Fault
from service.web.errors import Misfit, Superseded
from service.web.openapi import PARAMETERS

VERIFIED: dict[str, dict[str, Any]] = {"assessment": PARAMETERS["assessment_id"]}
"""The parameter of an address; its form is looked at with that of all others."""


def verified() -> str:
    """The id that was sent.

    Raises
    ------
    Misfit
        Without one: of two changes that were worked out in turn, nobody could tell which is meant.
    """
    sent = request.args.get("assessment", "")
    if not sent:
        expected = "the id of the assessment that verified the change, as it was read here"
        raise Misfit(f"assessment: found none; expected {expected}.", [Fault("/assessment", "none", expected)])
    return sent


def as_read(sent: str, found: str | None) -> None:
    """Hold what was read to what would be made now.

    Raises
    ------
    Superseded
        If it has been worked out anew since, and another assessment verified it.
    """
    if found != sent:
        raise Superseded(
            "This is not the change that was read: it has been worked out anew since, from other conditions, pads, "
            "motors or limits; nothing was changed. Read it again."
        )
