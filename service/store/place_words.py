"""What rows are called when something of them does not agree."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.store.told import Fact, Place

_TWO_WAYS = {  # what is so, what is not so
    "withdrawn": ("withdrawn", "taking part"),
    "removed": ("off the offer", "on offer"),
    "active": ("open", "closed"),
    "ended": ("ended", "in force"),
}
_ALTERED = {
    "attestation": "was altered",
    "person": ": name, password, units or sign-ins were altered",
    "api_token": ": its secret, label or dates were altered",
    "link": ": its secret or entry was altered",
    "setting": ": its value was altered",
    "certificate_sha256": ": its certificate was altered",
    "key_sha256": ": the key itself was altered",
}
_COUNTED = {
    "revision": "revision {} is shown",
    "conditions_revision": "revision {} of the conditions is in force",
    "forecast_revision": "revision {} of the forecast is shown",
    "holds": "{} motors are set aside",
    "stock": "{} are in stock",
    "motor_id": 'it flies motor "{}"',
    "entry_id": 'it is of entry "{}"',
    "login": 'its login is "{}"',
    "name": 'its name is "{}"',
    "date": "its date is {}",
    "at": "it was written at {}",
    "by": 'it was written by "{}"',
    "assessment_id": "it is {}",
    "day_id": "it is of launch day {}",
    "person_id": "it is of account {}",
}
_RESTS_ON = {  # an assessment, or a row of the flight log
    "day_revision": "it rests on revision {} of the launch day",
    "conditions_revision": "it rests on revision {} of the conditions",
    "motor_revision": "it rests on revision {} of the motor",
    "entry_revision": "it rests on revision {} of the entry",
}


def called(place: Place, logins: Mapping[str, str] | None = None, facts: Mapping[str, Fact] | None = None) -> str:
    """What a row is called.

    >>> called(("entry", "heron", "e-07")), called(("role", "5f", "rso", ""), {"5f": "rita"})
    ('entry e-07 of launch day heron', 'the role rso of account rita on every launch day')
    """
    table, *key = place
    logins, facts = logins or {}, facts or {}
    if table in ("entry", "motor", "flight"):
        return f"{table} {key[1]} of launch day {key[0]}"
    if table == "attestation":
        return f'the attestation of "{key[2]}" for {_entry(key[0], key[1])}'
    if table == "current_assessment":
        return f"the current assessment of {_entry(key[0], key[1])}"
    if table == "role":
        where = f"launch day {key[2]}" if key[2] else "every launch day"
        return f"the role {key[1]} of account {logins.get(key[0], key[0])} on {where}"
    if table == "person":
        login = facts["login"].value if "login" in facts else logins.get(key[0], key[0])
        return f"account {login}"
    if table == "link":
        of = f" of {_entry(facts['day_id'].value, facts['entry_id'].value)}" if "day_id" in facts else ""
        return f"private link {key[0]}{of}"
    if table == "api_token":
        of = f" of account {logins.get(facts['person_id'].value, '?')}" if "person_id" in facts else ""
        return f"token {key[0]}{of}"
    return f"{table.replace('_', ' ')} {' '.join(key)}"


def disagreement(table: str, name: str, found: Any, told: Any) -> str:
    """What stands and what was told, to be read after the row's name.

    >>> disagreement("entry", "withdrawn", True, False)
    ' is withdrawn; by the trail it is taking part'
    >>> disagreement("launch_day", "conditions_revision", 1, 2)
    ': revision 1 of the conditions is in force; by the trail it is 2'
    """
    if name in _TWO_WAYS:
        ways = _TWO_WAYS[name]
        return f" is {ways[not found]}; by the trail it is {ways[not told]}"
    if name.endswith("sha256"):
        words = _ALTERED[table if name == "sha256" else name]
        return f" {words} afterwards" if words[0] != ":" else f"{words} afterwards"
    rests = _RESTS_ON if table in ("current_assessment", "flight") else {}
    words = rests.get(name) or _COUNTED[name]
    if (table, name) == ("flight", "assessment_id"):
        words = "the assessment it rests on is {}"
    return f": {words.format(_plain(found))}; by the trail it is {_plain(told)}"


def called_label(label: str) -> str:
    """A document's label in words, with the label behind it.

    >>> called_label("revision/heron/entry/e-07/2")
    'revision 2 of entry e-07 of launch day heron (revision/heron/entry/e-07/2)'
    """
    table, *key = label.split("/")
    words = ""
    if table == "revision" and len(key) == 4:
        day_id, kind, of, revision = key
        whole = f"launch day {day_id}"
        words = f"revision {revision} of " + (
            whole if kind == "day" else f"{kind} {of} of {whole}" if of else f"the {kind} of {whole}"
        )
    elif table == "ruling" and len(key) == 3:
        words = f"ruling {key[2]} on {_entry(key[0], key[1])}"
    elif table in ("assessment", "sheet"):
        return f"{'signed ' if table == 'sheet' else ''}{table} ({label})"
    return f"{words} ({label})" if words else label


def _entry(day_id: str, entry_id: str) -> str:
    return f"entry {entry_id} of launch day {day_id}" if entry_id else f"launch day {day_id}"


def _plain(value: Any) -> str:
    return "none" if value is None else str(value)
