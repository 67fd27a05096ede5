"""The revision that a person saw, as the form carries it along."""

from __future__ import annotations

import re

from flask import request

from service.web.errors import BadForm


def seen_revision(name: str = "based_on") -> int:
    """The revision in a hidden field.

    Raises
    ------
    BadForm
        Where there is none: what a change rests on must be known.
    """
    text = request.form.get(name, "")
    if not re.fullmatch(r"\d{1,9}", text):
        raise BadForm("This form does not say what it rests on. Go back, reload, send it again.")
    return int(text)
