"""What stands, by the audit trail alone: its records read one after another, oldest first.

A place is a row of a table: the table's name and the row's key. Facts are what the trail tells of it, each with the
number of the record that told it last. Documents are told by their digests and are checked elsewhere.
"""

from __future__ import annotations

import json
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from service.store.audit import SEALED_ANEW, AuditRecord
from service.store.canonical import canonical, digest

Place = tuple[str, ...]

_REVISED = {  # kind of document: the table and column that say which revision counts
    "day": ("launch_day", "revision"),
    "conditions": ("launch_day", "conditions_revision"),
    "forecast": ("launch_day", "forecast_revision"),
    "motor": ("motor", "revision"),
    "entry": ("entry", "revision"),
    "flight": ("flight", "revision"),
}
_GONE = {("entry", "withdrawn"): "withdrawn", ("motor", "removed"): "removed"}
_ROWS: dict[str, tuple[str, ...]] = {  # what the seal of a row covers that is not kept for good
    "person": (
        "id", "login", "name", "password_hash", "units", "active", "epoch", "revision", "created_at", "first_password",
    ),
    "api_token": ("id", "person_id", "token_sha256", "label", "created_at", "expires_at"),
    "link": ("id", "day_id", "entry_id", "token_sha256", "created_at"),
}  # fmt: skip


class Fact(NamedTuple):
    """Something that a record told."""

    number: int
    value: Any


def row_seal(table: str, row: Mapping[str, Any]) -> str:
    """SHA-256 over the canonical JSON of a row that may change: what a record tells of it as it stands then."""
    return digest(canonical({name: row[name] for name in _ROWS[table]}))


@dataclass
class Told:
    """What the records that were read tell."""

    facts: dict[Place, dict[str, Fact]] = field(default_factory=dict)
    taken: dict[Place, int] = field(default_factory=dict)
    """Rows that were taken away: the record that tells it."""
    past: dict[tuple[Place, str], list[tuple[int, Any]]] = field(default_factory=dict)
    """Every value that revisions and current assessments ever had, with their records."""

    def take(self, record: AuditRecord) -> None:
        """Read one more record."""
        payload = json.loads(record.payload)
        kind, *below = record.subject.split("/")
        if record.what != SEALED_ANEW:
            for label in payload.get("documents", ()):
                self._revised(record, label)
        if kind == "day":
            self._of_day(record, payload, *below)
        elif kind == "person":
            self._of_person(record, payload, below[0])
        elif kind == "setting":
            told = {name: payload[name] for name in ("revision", "sha256")}
            self._set(record, ("setting", *below), **told, at=record.at, by=record.who)
        elif kind == "key":
            sealed = {name: payload[name] for name in ("certificate_sha256", "key_sha256") if name in payload}
            self._set(record, ("signing_key", *below), **sealed)

    def was(self, place: Place, name: str, before: int) -> Any:
        """What a fact was when the record with that number was written; None for nothing yet."""
        past = self.past.get((place, name), [])
        at = bisect_left(past, before, key=lambda each: each[0])
        return past[at - 1][1] if at else None

    def _set(self, record: AuditRecord, place: Place, **facts: Any) -> None:
        here = self.facts.setdefault(place, {})
        here |= {name: Fact(record.number, value) for name, value in facts.items()}
        self.taken.pop(place, None)

    def _take_away(self, record: AuditRecord, place: Place) -> None:
        self.facts.pop(place, None)
        self.taken[place] = record.number

    def _note(self, record: AuditRecord, place: Place, name: str, value: Any) -> None:
        self._set(record, place, **{name: value})
        self.past.setdefault((place, name), []).append((record.number, value))

    def _revised(self, record: AuditRecord, label: str) -> None:
        table, *key = label.split("/")
        if table != "revision":
            return
        day_id, kind, of, revision = key
        table, column = _REVISED[kind]
        self._note(record, (table, day_id, of) if of else (table, day_id), column, int(revision))

    def _of_day(self, record: AuditRecord, payload: dict[str, Any], day_id: str, kind: str = "", of: str = "") -> None:
        what, here = record.what, (kind, day_id, of)
        for (table, name), word in _GONE.items():
            if kind == table and what in ("added", "returned", word):
                self._set(record, here, **{name: what == word})
        if kind == "entry" and "holds" in payload:
            self._set(record, here, holds=payload["holds"])
        if kind == "flight" and (what == "added" or "/entry" in payload.get("changed", ())):
            self._set(record, here, logged=what == "added")
        if what == "attested":
            self._set(record, ("attestation", day_id, of, payload["rule"]), sha256=payload["sha256"])
        elif what == "attestation taken back":
            self._take_away(record, ("attestation", day_id, of, payload["rule"]))
        elif what == "assessed":
            for entry_id, assessment_id in payload["current"].items():
                place = ("current_assessment", day_id, entry_id)
                self._note(record, place, "assessment_id", assessment_id)
                self._set(record, place, at=record.at)
        elif what == "link made":
            sealed = {"sha256": payload["sha256"]} if "sha256" in payload else {}
            self._set(record, ("link", payload["link"]), day_id=day_id, entry_id=of, ended=False, **sealed)
        elif what == "link revoked":
            for link in payload["links"]:
                self._set(record, ("link", link), ended=True)

    def _of_person(self, record: AuditRecord, payload: dict[str, Any], person_id: str) -> None:
        what, here = record.what, ("person", person_id)
        if what in ("role given", "role taken"):
            place = ("role", person_id, payload["role"], payload["day"])
            self._set(record, place) if what == "role given" else self._take_away(record, place)
        elif what == "token made":
            sealed = {"sha256": payload["sha256"]} if "sha256" in payload else {}
            self._set(record, ("api_token", payload["token"]), person_id=person_id, ended=False, **sealed)
        elif what == "token revoked":
            self._set(record, ("api_token", payload["token"]), ended=True)
        else:
            told = {"login": payload["login"], "active": True, "revision": 1} if what == "added" else {}
            if what in ("opened", "closed"):
                told["active"] = what == "opened"
            if "revision" in payload:
                told["revision"] = payload["revision"]
            self._set(record, here, **told)
            self.facts[here].pop("sha256", None)  # it was of the account as it stood before
            if "sha256" in payload:
                self._set(record, here, sha256=payload["sha256"])
            if what == "closed":
                for token, facts in self.facts.items():
                    if token[0] == "api_token" and facts["person_id"].value == person_id:
                        self._set(record, token, ended=True)
