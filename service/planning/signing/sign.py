"""Putting a signature on a sheet: PAdES B-B, as an incremental update, visible where the page has a place for it."""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from asn1crypto import keys, pem, x509
from pyhanko.pdf_utils.content import PdfContent
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.layout import AxisAlignment, BoxConstraints, Margins, SimpleBoxLayoutRule
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner, SimpleSigner
from pyhanko.stamp import StaticStampStyle
from pyhanko_certvalidator.registry import SimpleCertificateStore

from reports.pages.signature_stamp import signature_place, signature_stamp
from reports.sheet_data import Signature
from service.planning.signing.club_key import ClubKey, opened
from service.planning.signing.errors import NotSignable

FIELD = "Signature"
_FILLING = SimpleBoxLayoutRule(AxisAlignment.ALIGN_MIN, AxisAlignment.ALIGN_MIN, Margins.uniform(0))


@dataclass(frozen=True)
class Signatory:
    """Who signs, in which role, when (an aware time) and what for."""

    name: str
    role: str
    at: datetime
    reason: str = ""


def sign_pdf(pdf: bytes, key: ClubKey, passphrase: str, by: Signatory) -> bytes:
    """Sign a PDF by the club's key.

    The first signature of a sheet shows in the place that its first page keeps; any other leaves no mark on the page.

    Parameters
    ----------
    pdf : bytes
        The file; what it holds is not altered, the signature is appended.
    key, passphrase
        The club's key, and what opens it.
    by : Signatory
        Whom the signature names.

    Raises
    ------
    WrongPassphrase
        If the passphrase does not open the key.
    NotSignable
        If the bytes are no PDF that can take a signature.
    """
    certificate = x509.Certificate.load(pem.unarmor(key.certificate_pem.encode())[2])
    signer = SimpleSigner(
        signing_cert=certificate,
        signing_key=keys.PrivateKeyInfo.load(opened(key, passphrase)),
        cert_registry=SimpleCertificateStore(),
    )
    try:
        writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
        count = len(writer.prev.embedded_signatures)
        name = FIELD if count == 0 else f"{FIELD}{count + 1}"
        meta = PdfSignatureMetadata(
            field_name=name,
            name=f"{by.name}, {by.role}",
            reason=by.reason or None,
            subfilter=SigSeedSubFilter.PADES,
            md_algorithm="sha256",
        )
        place = signature_place(_page_size(writer)) if count == 0 else None
        style, spec = None, SigFieldSpec(name)
        if place is not None:
            left, bottom, right, top = (round(each) for each in place)
            spec = SigFieldSpec(name, on_page=0, box=(left, bottom, right, top))
            wide, tall = place[2] - place[0], place[3] - place[1]
            shown = Signature(by.name, by.role, by.at, by.reason)
            owner = certificate.subject.native.get("common_name", "")
            drawn = _Drawn(signature_stamp(shown, owner, wide, tall))
            style = StaticStampStyle(background=drawn, background_layout=_FILLING, border_width=0)
        return _Dated(meta, signer, by.at, stamp_style=style, new_field_spec=spec).sign_pdf(writer).getvalue()
    except (PdfError, OSError) as error:
        raise NotSignable(f"found a file that cannot be signed ({error}); expected a PDF") from None


class _Dated(PdfSigner):
    """Signs with the time of the service's clock, which the page names too."""

    def __init__(self, meta: PdfSignatureMetadata, signer: SimpleSigner, at: datetime, **more: Any) -> None:
        super().__init__(meta, signer, **more)
        self._at = at

    def init_signing_session(self, pdf_out: Any, existing_fields_only: bool = False) -> Any:
        session = super().init_signing_session(pdf_out, existing_fields_only)
        session.system_time = self._at
        return session


class _Drawn(PdfContent):
    """The first page of a small PDF as the look of a signature."""

    def __init__(self, pdf: bytes) -> None:
        super().__init__()
        self._pdf = pdf

    def render(self) -> bytes:
        drawn = self._ensure_writer.import_page_as_xobject(PdfFileReader(io.BytesIO(self._pdf)))
        self.resources.xobject["/Drawn"] = drawn
        left, bottom, right, top = (float(each) for each in drawn.get_object()["/BBox"])
        self.box = BoxConstraints(width=right - left, height=top - bottom)
        return b"/Drawn Do"


def _page_size(writer: IncrementalPdfFileWriter) -> tuple[float, float]:
    page = writer.prev.root["/Pages"]["/Kids"][0]
    while "/Kids" in page:
        page = page["/Kids"][0]
    box = page.get("/MediaBox") or writer.prev.root["/Pages"]["/MediaBox"]
    return float(box[2]) - float(box[0]), float(box[3]) - float(box[1])
