"""What signing refuses, and why.

SigningRefused
├── WrongPassphrase     the passphrase does not open the club's key
├── WeakPassphrase      too short to protect a key that is kept in a file
└── NotSignable         not a PDF, or one that cannot take a signature
"""

from __future__ import annotations


class SigningRefused(ValueError):
    """Base of everything that signing raises on purpose."""


class WrongPassphrase(SigningRefused):
    """The passphrase does not open the club's key."""


class WeakPassphrase(SigningRefused):
    """The passphrase is too short."""


class NotSignable(SigningRefused):
    """The bytes cannot be signed."""
