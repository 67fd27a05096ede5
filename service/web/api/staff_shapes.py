"""What the API takes and answers about people, their links and tokens, sheets, and the service itself."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field as Described
from pydantic import StrictBool

from service.models.base import Model
from service.models.types import Id, Name
from service.web.api.shapes import Told


class RoleTold(Told):
    """A role, and the launch day that it is held on; "" for every one."""

    role: Literal["rso", "organiser"]
    day: str


class AccountTold(Told):
    """One's own account."""

    login: str
    name: str
    units: Literal["si", "us"]
    roles: list[RoleTold]


class PasswordAsked(Model):
    """The password as it is, and the new one."""

    old: Annotated[str, Described(max_length=200)]
    new: Annotated[str, Described(min_length=10, max_length=200)]


class TokenAsked(Model):
    """A token for a program."""

    label: Name
    """What it is for."""


class TokenTold(Told):
    """A token in force, without itself."""

    id: str
    label: str
    created_at: str
    expires_at: str | None


class NewToken(Told):
    """A new token, told this once."""

    token: str


class StaffTold(Told):
    """Somebody with a role on a day: those held here, and those held on every day."""

    login: str
    name: str
    active: bool
    here: list[str]
    every_day: list[str]


class PersonTold(Told):
    """An account."""

    id: str
    login: str
    name: str
    active: bool


class PersonAsked(Model):
    """An account to be made, with a role on the day."""

    login: Id
    name: Name
    """As it is to stand on signed sheets."""
    role: Literal["rso", "organiser"]


class NewPerson(Told):
    """A new account, and its first password, told this once."""

    id: str
    login: str
    first_password: str


class ActiveAsked(Model):
    """Whether an account is open."""

    active: StrictBool


class SheetTold(Told):
    """A signed sheet. An entry of null stands for the whole day."""

    id: str
    entry: str | None
    sha256: str
    at: str
    by: str


class SheetAsked(Model):
    """What to sign. The passphrase of the club's key may be empty where the service was given it at its start."""

    entry: Id | None = None
    passphrase: Annotated[str, Described(max_length=1000)] = ""


class SignatureTold(Told):
    """One signature. `at` is the time of the signer's clock."""

    named: str
    certificate: str
    certificate_sha256: str
    at: str | None
    word: str


class SignaturesTold(Told):
    """What is to be said of a sheet: the worst that is true of any of its signatures."""

    word: str
    sentence: str
    signatures: list[SignatureTold]


class CertificateTold(Told):
    """The club's certificate, as PEM."""

    owner: str
    sha256: str
    pem: str


class LinkTold(Told):
    """A private link in force, without its token."""

    id: str
    created_at: str


class NewLink(Told):
    """A new private link, told this once; its token is a bearer token for the entry."""

    link_token: str
    private_link: str


class ErasedTold(Told):
    """What erasing did. Sheets that were signed before are kept as they are."""

    revisions: int
    links: int
    sheets_that_may_print_it: int


class HealthTold(Told):
    """Which version runs, on which database."""

    version: str
    engine: str
    database: str
    tables: str
    audit_records: int


class DayCodeTold(Told):
    """A code of a launch day, and who compared its edition with the text in force, if anybody has."""

    id: str
    title: str
    edition: str
    compared_by: str | None
    compared_at: str | None


class CodeTold(Told):
    """A code, with its edition."""

    id: str
    title: str
    edition: str
