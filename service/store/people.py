"""People who sign in, their roles per launch day, and their tokens for programs.

The store takes password hashes and never sees a password. A person's `epoch` goes up when the password changes
or the account is closed: a session that carries an older one has ended.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

import sqlalchemy as sa

from service.models.base import Problem
from service.store import parts, tables
from service.store.audit import Change
from service.store.database import Database, written
from service.store.errors import AlreadyThere, Conflict, NotFound, Refused
from service.store.tokens import new_id, new_token, token_digest
from service.store.told import row_seal
from service.store.versions import identified, named

Role = Literal["organiser", "rso"]
Units = Literal["si", "us"]
ROLES: tuple[Role, ...] = ("organiser", "rso")
EVERY_DAY = ""


@dataclass(frozen=True)
class Person:
    """An account. `password_hash` is for checking a sign-in only; it is never shown."""

    id: str
    login: str
    name: str
    password_hash: str
    units: Units
    active: bool
    epoch: int
    revision: int
    first_password: bool
    """Whether the password was made by somebody else and waits to be changed."""

    def __repr__(self) -> str:
        return f"Person({self.login!r})"


@dataclass(frozen=True)
class ApiToken:
    """A token for programs, without itself."""

    id: str
    person_id: str
    label: str
    created_at: str
    expires_at: str | None
    revoked_at: str | None


class People:
    """Accounts, roles, tokens."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self) -> tuple[Person, ...]:
        """Every account, by login."""
        with self._database.read() as connection:
            rows = connection.execute(sa.select(tables.person).order_by(tables.person.c.login))
            return tuple(_person(row) for row in rows)

    def get(self, person_id: str) -> Person:
        """The account with that id."""
        with self._database.read() as connection:
            return _one(connection, tables.person.c.id == person_id, person_id)

    def by_login(self, login: str) -> Person:
        """The account that signs in under that name, upper case or lower."""
        with self._database.read() as connection:
            return _one(connection, tables.person.c.login == login.casefold(), login)

    def add(
        self,
        login: str,
        name: str,
        password_hash: str,
        by: str,
        *,
        roles: dict[Role, str] | None = None,
        first_password: bool = False,
    ) -> Person:
        """Make an account. `roles` gives a launch day's id for each role, "" for every launch day.

        `first_password` when somebody else made the password: its owner has to change it before anything else.
        """
        login = identified(login.casefold(), "login")
        with self._database.write(named(by)) as change:
            person_id = new_id()
            table = tables.person
            if change.connection.execute(sa.select(table.c.id).where(table.c.login == login)).one_or_none():
                raise AlreadyThere(f'found an account "{login}" already, expected a login of its own')
            change.connection.execute(
                table.insert().values(
                    id=person_id,
                    login=login,
                    name=named(name),
                    password_hash=_hash(password_hash),
                    first_password=first_password,
                    created_at=change.at,
                )
            )
            person = _one(change.connection, table.c.id == person_id, person_id)
            told = {"login": login, "sha256": _seal(change.connection, person_id)}
            change.record("added", f"person/{person_id}", told)
            for role, day_id in (roles or {}).items():
                _grant(change, person_id, role, day_id)
            return person

    def update(
        self, person_id: str, by: str, *, based_on: int, name: str | None = None, units: Units | None = None
    ) -> Person:
        """Change the name or the choice of units."""
        values: dict[str, Any] = {}
        if name is not None:
            values["name"] = named(name)
        if units is not None:
            if units not in ("si", "us"):
                raise Refused("person", [Problem(("units",), f'"{units}"', '"si" or "us"')])
            values["units"] = units
        with self._database.write(named(by)) as change:
            person = _one(change.connection, tables.person.c.id == person_id, person_id)
            if person.revision != based_on:
                raise Conflict(f"person/{person_id}", based_on, person.revision)
            return _change(change, person, "changed", sorted(values), **values)

    def set_password_hash(
        self, person_id: str, password_hash: str, by: str, *, same_password: bool = False, first_password: bool = False
    ) -> Person:
        """Replace the hash and end all sessions, unless it is the same password hashed anew.

        `first_password` when somebody else made it: its owner has to change it before anything else.
        """
        with self._database.write(named(by)) as change:
            person = _one(change.connection, tables.person.c.id == person_id, person_id)
            values: dict[str, Any] = {"password_hash": _hash(password_hash)}
            if not same_password:
                values |= {"epoch": person.epoch + 1, "first_password": first_password}
            what = "first password made" if first_password else "password changed"
            return _change(change, person, what, [], **values)

    def set_active(self, person_id: str, active: bool, by: str) -> Person:
        """Open or close an account. A closed one ends its sessions and tokens."""
        with self._database.write(named(by)) as change:
            person = _one(change.connection, tables.person.c.id == person_id, person_id)
            what = "opened" if active else "closed"
            person = _change(change, person, what, [], active=active, epoch=person.epoch + (not active))
            if not active:
                _refuse_nobody_left(change.connection)
                table = tables.api_token
                of_person = (table.c.person_id == person_id, table.c.revoked_at.is_(None))
                change.connection.execute(table.update().where(*of_person).values(revoked_at=change.at))
            return person

    def roles(self, person_id: str, day_id: str) -> frozenset[Role]:
        """What a person may do on a launch day, by roles for it and for every one. None for a closed account."""
        table, person = tables.role, tables.person
        asked = (
            sa.select(table.c.role)
            .join(person, person.c.id == table.c.person_id)
            .where(person.c.id == person_id, person.c.active, table.c.day_id.in_([day_id, EVERY_DAY]))
        )
        with self._database.read() as connection:
            return frozenset(connection.execute(asked).scalars())

    def all_roles(self) -> dict[str, frozenset[tuple[Role, str]]]:
        """Every person's roles, each with its launch day, "" for every one."""
        found: dict[str, set[tuple[Role, str]]] = {}
        with self._database.read() as connection:
            for row in connection.execute(sa.select(tables.role)):
                found.setdefault(row.person_id, set()).add((row.role, row.day_id))
        return {person_id: frozenset(roles) for person_id, roles in found.items()}

    def grant(self, person_id: str, role: Role, day_id: str, by: str) -> None:
        """Give a role on a launch day, or with "" on every one; does nothing where it is given already."""
        with self._database.write(named(by)) as change:
            _one(change.connection, tables.person.c.id == person_id, person_id)
            _grant(change, person_id, role, day_id)

    def take_role(self, person_id: str, role: Role, day_id: str, by: str) -> None:
        """Take a role away; refused when nobody would be left to organise."""
        table = tables.role
        which = (table.c.person_id == person_id, table.c.role == role, table.c.day_id == day_id)
        with self._database.write(named(by)) as change:
            if change.connection.execute(table.delete().where(*which)).rowcount == 0:
                raise NotFound(f"found no such role to take from person {person_id}")
            _refuse_nobody_left(change.connection)
            change.record("role taken", f"person/{person_id}", {"role": role, "day": day_id})

    def new_token(self, person_id: str, label: str, by: str, *, expires_at: datetime | None = None) -> str:
        """Make a token for programs; it is told this once."""
        token, token_id = new_token(), new_id()
        with self._database.write(named(by)) as change:
            _one(change.connection, tables.person.c.id == person_id, person_id)
            row = {
                "id": token_id,
                "person_id": person_id,
                "token_sha256": token_digest(token),
                "label": named(label),
                "created_at": change.at,
                "expires_at": written(expires_at) if expires_at else None,
            }
            change.connection.execute(tables.api_token.insert().values(**row))
            told = {"token": token_id, "sha256": row_seal("api_token", row)}
            change.record("token made", f"person/{person_id}", told)
        return token

    def by_token(self, token: str) -> Person:
        """Whose token it is; `NotFound` for a wrong, revoked or expired one, or a closed account."""
        table = tables.api_token
        now = written(self._database.clock())
        asked = sa.select(table.c.person_id).where(
            table.c.token_sha256 == token_digest(token),
            table.c.revoked_at.is_(None),
            sa.or_(table.c.expires_at.is_(None), table.c.expires_at > now),
        )
        with self._database.read() as connection:
            person_id = connection.execute(asked).scalar_one_or_none()
            person = _one(connection, tables.person.c.id == person_id, "") if person_id else None
        if person is None or not person.active:
            raise NotFound("found no token in force like this one")
        return person

    def tokens(self, person_id: str) -> tuple[ApiToken, ...]:
        """A person's tokens, oldest first."""
        table = tables.api_token
        columns = (table.c.id, table.c.person_id, table.c.label, table.c.created_at, table.c.expires_at)
        asked = sa.select(*columns, table.c.revoked_at).where(table.c.person_id == person_id)
        with self._database.read() as connection:
            rows = connection.execute(asked.order_by(table.c.created_at, table.c.id))
            return tuple(ApiToken(**row._mapping) for row in rows)

    def revoke_token(self, person_id: str, token_id: str, by: str) -> None:
        """End a token; it stays ended."""
        table = tables.api_token
        which = (table.c.person_id == person_id, table.c.id == token_id, table.c.revoked_at.is_(None))
        with self._database.write(named(by)) as change:
            if change.connection.execute(table.update().where(*which).values(revoked_at=change.at)).rowcount != 1:
                raise NotFound("found no token in force with this id")
            change.record("token revoked", f"person/{person_id}", {"token": token_id})


def _one(connection: sa.Connection, which: sa.ColumnElement[bool], asked_for: str) -> Person:
    row = connection.execute(sa.select(tables.person).where(which)).one_or_none()
    if row is None:
        raise NotFound(f'found no account "{asked_for[:64]}"')
    return _person(row)


def _person(row: Any) -> Person:
    of_row = (row.id, row.login, row.name, row.password_hash, row.units, row.active, row.epoch, row.revision)
    return Person(*of_row, row.first_password)


def _seal(connection: sa.Connection, person_id: str) -> str:
    row = connection.execute(sa.select(tables.person).where(tables.person.c.id == person_id)).one()
    return row_seal("person", dict(row._mapping))


def _change(change: Change, person: Person, what: str, fields: list[str], **values: Any) -> Person:
    table = tables.person
    new = person.revision + 1
    change.connection.execute(table.update().where(table.c.id == person.id).values(revision=new, **values))
    told = {"revision": new, "changed": fields, "sha256": _seal(change.connection, person.id)}
    change.record(what, f"person/{person.id}", told)
    return _one(change.connection, table.c.id == person.id, person.id)


def _grant(change: Change, person_id: str, role: Role, day_id: str) -> None:
    if role not in ROLES:
        raise Refused("role", [Problem((), f'"{role}"', " or ".join(ROLES))])
    if day_id != EVERY_DAY:
        parts.day_row(change.connection, day_id)
    table = tables.role
    values = {"person_id": person_id, "role": role, "day_id": day_id}
    if change.connection.execute(sa.select(table).filter_by(**values)).one_or_none() is None:
        change.connection.execute(table.insert().values(**values))
        change.record("role given", f"person/{person_id}", {"role": role, "day": day_id})


def _refuse_nobody_left(connection: sa.Connection) -> None:
    role, person = tables.role, tables.person
    asked = (
        sa.select(sa.func.count())
        .select_from(role.join(person, person.c.id == role.c.person_id))
        .where(role.c.role == "organiser", role.c.day_id == EVERY_DAY, person.c.active)
    )
    if connection.execute(asked).scalar_one() == 0:
        raise Refused("people", [Problem((), "nobody left to organise every launch day", "at least one open account")])


def _hash(password_hash: str) -> str:
    if not password_hash.startswith("$argon2") or len(password_hash) > 400:
        raise Refused("person", [Problem(("password",), "something else", "an argon2 hash in its usual text form")])
    return password_hash
