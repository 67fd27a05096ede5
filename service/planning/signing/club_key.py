"""The club's key: an elliptic-curve key with a certificate that it signed itself."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from service.planning.signing.errors import SigningRefused, WeakPassphrase, WrongPassphrase

LEAST_PASSPHRASE = 12  # characters; whoever copies the database can try as fast as a machine hashes
LONGEST_PASSPHRASE = 200
YEARS = 20
NAME_LIMIT = 64  # of a common name (RFC 5280, appendix A.1, from memory, not re-read)


@dataclass(frozen=True)
class ClubKey:
    """A key as it is kept: PKCS #8, encrypted, and its certificate, both as PEM."""

    encrypted_pem: str
    certificate_pem: str

    def __repr__(self) -> str:
        return f"ClubKey({fingerprint(self.certificate_pem)[:19]}...)"


def new_club_key(club: str, passphrase: str, at: datetime) -> ClubKey:
    """Make a key on the curve P-256 and its certificate, good for twenty years.

    Parameters
    ----------
    club : str
        Whose key it is; stands in every signature.
    passphrase : str
        Encrypts the key. It is kept nowhere: without it nothing can be signed.
    at : datetime
        From when the certificate holds; an aware time.

    Raises
    ------
    WeakPassphrase
        If the passphrase is shorter than 12 characters.
    SigningRefused
        If the club has no name.
    """
    if not LEAST_PASSPHRASE <= len(passphrase) <= LONGEST_PASSPHRASE:
        found = f"a passphrase of {len(passphrase)} characters"
        raise WeakPassphrase(f"found {found}; expected {LEAST_PASSPHRASE} to {LONGEST_PASSPHRASE}, such as a few words")
    called = " ".join(club.split())
    if not called or not called.isprintable():
        raise SigningRefused("found no name for the club; expected one, to stand in every signature")
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, textwrap.shorten(called, NAME_LIMIT, placeholder="..."))])
    usage = x509.KeyUsage(
        digital_signature=True, content_commitment=True, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=False, crl_sign=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - timedelta(days=1))
        .not_valid_after(at + timedelta(days=round(365.25 * YEARS)))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    encrypted = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.BestAvailableEncryption(passphrase.encode()),
    )
    return ClubKey(encrypted.decode(), certificate.public_bytes(serialization.Encoding.PEM).decode())


def opened(key: ClubKey, passphrase: str) -> bytes:
    """The private key itself, as DER, for as long as one signature takes.

    Raises
    ------
    WrongPassphrase
        If the passphrase does not open it.
    """
    try:
        private = serialization.load_pem_private_key(key.encrypted_pem.encode(), passphrase.encode() or None)
    except (ValueError, TypeError):
        raise WrongPassphrase("this passphrase does not open the club's key") from None
    return private.private_bytes(
        serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def owner(certificate_pem: str) -> str:
    """Whose certificate it is."""
    names = _read(certificate_pem).subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(names[0].value) if names else "somebody without a name"


def fingerprint(certificate_pem: str) -> str:
    """SHA-256 of a certificate, in pairs: what two people read to each other to be sure it is the same."""
    return _read(certificate_pem).fingerprint(hashes.SHA256()).hex(":").upper()


def _read(certificate_pem: str) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(certificate_pem.encode())
    except ValueError:
        raise SigningRefused("found something else; expected a certificate as PEM") from None
