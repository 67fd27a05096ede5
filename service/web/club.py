"""The club's key in the store: made once, at set-up; its certificate is what sheets are verified against."""

from __future__ import annotations

from datetime import datetime

from service.planning.signing.club_key import ClubKey, new_club_key
from service.store import NotFound, Store

KEY_NAME = "club"


def make_club_key(store: Store, club: str, passphrase: str, at: datetime, by: str) -> ClubKey:
    """Make the key and keep it, encrypted by the passphrase.

    Raises
    ------
    SigningRefused
        If the passphrase is too short, or the club has no name.
    AlreadyThere
        If there is a key; it is never replaced.
    """
    key = new_club_key(club, passphrase, at)
    store.keys.add(KEY_NAME, key.encrypted_pem, key.certificate_pem, by)
    return key


def club_key(store: Store) -> ClubKey | None:
    """The club's key as it is kept; None before set-up."""
    try:
        kept = store.keys.get(KEY_NAME)
    except NotFound:
        return None
    return ClubKey(kept.encrypted_pem, kept.certificate_pem)


def trusted(store: Store) -> list[str]:
    """The certificates that this service trusts: those of its own keys, as PEM."""
    return [store.keys.get(name).certificate_pem for name in store.keys.names()]
