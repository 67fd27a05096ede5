"""Passwords: Argon2id (RFC 9106), and a sign-in that cannot be tried fast."""

from __future__ import annotations

import secrets
import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError

from service.store import NotFound, Store
from service.store.people import Person
from service.web.config import Rates
from service.web.errors import TooOften
from service.web.limits import Buckets

LEAST_LENGTH = 10  # characters; length beats mixtures (NIST SP 800-63B, from memory, not re-read)
LONGEST = 200


class Passwords:
    """Makes and checks hashes; two at a time, so that sign-ins do not eat the laptop's memory."""

    def __init__(self, passes: int, memory_kib: int) -> None:
        self._hasher = PasswordHasher(time_cost=passes, memory_cost=memory_kib, parallelism=2)
        self._turn = threading.Semaphore(2)
        self._nobodys = self.hash("nobody has this one")

    def hash(self, password: str) -> str:
        """The hash that is kept."""
        with self._turn:
            return self._hasher.hash(password)

    def fits(self, password: str, password_hash: str) -> bool:
        """Whether a password is the one that was hashed."""
        try:
            with self._turn:
                return self._hasher.verify(password_hash, password)
        except (VerifyMismatchError, VerificationError, InvalidHashError):
            return False

    def sign_in(
        self, store: Store, buckets: Buckets, rates: Rates, login: str, password: str, where: str
    ) -> Person | None:
        """The person, or None; a name that nobody has takes as long as a wrong password.

        Raises
        ------
        TooOften
            After too many wrong passwords, by account and by address.
        """
        login = login.strip().casefold()[:64]
        keys = (
            (("sign-in as", login, where), rates.sign_in_as),
            (("sign-in from", where), rates.sign_in_from),
            (("sign-in account", login), rates.sign_in_account),
        )
        wait_s = max(buckets.take(key, rate) for key, rate in keys)
        if wait_s > 0.0:
            raise TooOften(wait_s, "wrong passwords")
        try:
            person = store.people.by_login(login)
        except NotFound:
            person = None
        fits = self.fits(password[:LONGEST], person.password_hash if person else self._nobodys)
        if person is None or not fits or not person.active:
            return None
        for key, rate in keys:
            buckets.take(key, rate, -1.0)  # only wrong ones count
        if self._hasher.check_needs_rehash(person.password_hash):
            person = store.people.set_password_hash(person.id, self.hash(password), person.login, same_password=True)
        return person

    def give_another(self, store: Store, person_id: str, by: str) -> tuple[str, str]:
        """Give an account a first password in place of a forgotten one, which ends its sessions: login, password."""
        password = made_password()
        person = store.people.set_password_hash(person_id, self.hash(password), by, first_password=True)
        return person.login, password


def made_password() -> str:
    """A first password: 64 random bits in letters that can be read out."""
    return "-".join(secrets.token_hex(2) for _ in range(4))


def password_fault(password: str, before: str = "") -> str:
    """What is wrong with a new password; empty for nothing. `before` is the one that it takes the place of."""
    if before and password == before:
        return "found the password as it is; expected another one"
    if len(password) < LEAST_LENGTH:
        return f"found {len(password)} characters; expected at least {LEAST_LENGTH}"
    if len(password) > LONGEST:
        return f"found {len(password)} characters; expected at most {LONGEST}"
    return ""
