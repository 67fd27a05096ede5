"""Checking a signed sheet: untouched, changed, not to be checked, signed by somebody else, or not signed at all."""

from __future__ import annotations

import io
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

from asn1crypto import pem, x509
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

Word = Literal["untouched", "changed", "unchecked", "other_signer", "unsigned", "unreadable"]
_WORST_FIRST: tuple[Word, ...] = ("changed", "unchecked", "other_signer", "untouched")
SIZE_LIMIT = 64_000_000  # bytes

_SENTENCES: dict[Word, str] = {
    "untouched": "Untouched: every byte is as it was signed.",
    "changed": "Changed: this is not what was signed.",
    "unchecked": "Could not be checked: a signature is there, but whether it holds is unknown.",
    "other_signer": "Signed by somebody else: the certificate is none of those that are trusted here.",
    "unsigned": "Unsigned: this file carries no signature.",
    "unreadable": "Unreadable: this cannot be read as a PDF, so nothing can be said of a signature.",
}


@dataclass(frozen=True)
class SignatureSeen:
    """One signature of a file. `at` is the time that the signer's clock gave; None where there is none."""

    named: str
    certificate: str
    fingerprint: str
    at: datetime | None
    word: Word


@dataclass(frozen=True)
class Verdict:
    """What is to be said of a file: the worst that is true of any of its signatures."""

    word: Word
    signatures: tuple[SignatureSeen, ...] = ()

    @property
    def good(self) -> bool:
        """Whether it is signed by those who are trusted, and by nobody else, and untouched."""
        return self.word == "untouched"

    @property
    def sentence(self) -> str:
        """The verdict in a sentence."""
        return _SENTENCES[self.word]

    @property
    def lines(self) -> tuple[str, ...]:
        """A sentence for each signature."""
        return tuple(_told(each) for each in self.signatures)


def verify(pdf: bytes, trusted: Sequence[str]) -> Verdict:
    """Check every signature of a file against certificates that are trusted. Nothing is fetched.

    A certificate counts as it stood when the signature says it was made: no third party dates these signatures.

    Parameters
    ----------
    pdf : bytes
        The file.
    trusted : sequence of str
        Certificates as PEM. Whoever else signs is somebody else.
    """
    if len(pdf) > SIZE_LIMIT:
        return Verdict("unreadable")
    roots = [x509.Certificate.load(pem.unarmor(each.encode())[2]) for each in trusted]
    # The library writes tracebacks to its log for files that do not verify; the verdict is what is to be said.
    loggers = [logging.getLogger(name) for name in ("pyhanko", "pyhanko_certvalidator")]
    before = [(each, each.level) for each in loggers]
    for each in loggers:
        each.setLevel(logging.CRITICAL)
    try:
        return _verdict(pdf, roots)
    finally:
        for each, level in before:
            each.setLevel(level)


def _verdict(pdf: bytes, roots: list[x509.Certificate]) -> Verdict:
    try:
        reader = PdfFileReader(io.BytesIO(pdf))
        reader.root["/Pages"]["/Count"]
    except Exception:  # a damaged file fails in many ways; each means that it cannot be read
        return Verdict("unreadable")
    try:
        found = list(reader.embedded_signatures)
    except Exception:  # it is a PDF, and something in it says that it is signed
        return Verdict("unchecked")
    if not found:
        return Verdict("unsigned")
    seen = tuple(_seen(each, roots, newest=each is found[-1]) for each in found)
    words = [each.word for each in seen]
    return Verdict(next(word for word in _WORST_FIRST if word in words), seen)


def _seen(signature: Any, roots: list[x509.Certificate], newest: bool) -> SignatureSeen:
    try:
        at = signature.self_reported_timestamp
        named = str(signature.sig_object.get("/Name", ""))
        certificate = signature.signer_cert
        who = str(certificate.subject.native.get("common_name", ""))
        mark = certificate.sha256.hex(":").upper()
    except Exception:  # altered inside the signature itself, or of a kind that the library does not read
        return SignatureSeen("", "", "", None, "unchecked")
    return SignatureSeen(named, who, mark, at, _word(signature, roots, at, newest))


def _word(signature: Any, roots: list[x509.Certificate], at: datetime | None, newest: bool) -> Word:
    try:
        context = ValidationContext(trust_roots=roots, allow_fetching=False, moment=at or datetime.now(UTC))
        status = validate_pdf_signature(signature, signer_validation_context=context)
    except Exception:  # a check that broke has shown nothing, neither for the file nor against it
        return "unchecked"
    # What was appended after the newest signature is vouched for by nobody, whatever kind of change it is.
    if newest and status.coverage != SignatureCoverageLevel.ENTIRE_FILE:
        return "changed"
    if status.bottom_line:
        return "untouched"
    return "other_signer" if status.intact and status.valid and not status.trusted else "changed"


def _told(seen: SignatureSeen) -> str:
    who = f"{seen.named or 'Somebody without a name'}, by the certificate of {seen.certificate or 'nobody named'}"
    when = f", at {seen.at.isoformat(timespec='seconds')} by the signer's clock" if seen.at else ""
    what = {
        "untouched": "it is untouched",
        "changed": "what it signed has been changed since",
        "unchecked": "whether it holds could not be checked",
    }
    end = what.get(seen.word, "this certificate is none of those that are trusted here")
    mark = f" Certificate SHA-256 {seen.fingerprint}." if seen.fingerprint else ""
    return f"{who}{when}: {end}.{mark}"
