"""Signing a PDF: certified, PAdES baseline (ETSI EN 319 142-1), with the shop's certificate; and making that one.

The signature certifies: no change of the document is allowed after it (DocMDP, P 1). Without a time-stamp service it is
B-B, and nothing asks the network. Where ``TIMESTAMP_URL`` is set it is B-LTA: the service says when, and the file keeps
certificates and revocation data, so that it can be checked when nobody answers for them any more. What a signature
proves is that the bytes are those that the holder of this certificate signed; who that is, the shop tells customers.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, NoEncryption, pkcs12
from cryptography.x509.oid import NameOID, ObjectIdentifier
from django.conf import settings
from django.utils import timezone

from commands.refusals import Refused
from files.paper.pdf_parts import FIELD

if TYPE_CHECKING:
    from pyhanko.sign import signers

    from files.paper.drawing import Drawn

KEY_BITS = 3072
MOST_SIGNATURES = 20
_CONTENTS = re.compile(rb"/Contents <\s*([0-9A-Fa-f]{64,})\s*>")
YEARS = 10
DOCUMENT_SIGNING = ObjectIdentifier("1.3.6.1.5.5.7.3.36")  # RFC 9336, section 3.1


class CertificateMissing(Refused):
    """There is no certificate to sign with, or it cannot be used; the sentence says what to do."""


@dataclass(frozen=True)
class Certificate:
    """The certificate that the shop signs with. ``sha256`` is its fingerprint, as readers of PDF show it."""

    signer: signers.SimpleSigner
    sha256: str
    subject: str
    not_after: datetime


@dataclass(frozen=True)
class SignedPdf:
    """A signed PDF, with the digest of the signature inside by which an altered copy is still recognized.

    ``level`` is its PAdES level: "B-B" or "B-LTA".
    """

    data: bytes
    signature_sha256: str
    level: str = "B-B"


def certificate_path() -> Path:
    """Where the PKCS#12 file with certificate and key lies: the shop's own one, or the one made here."""
    return Path(settings.SIGNING_P12) if settings.SIGNING_P12 else settings.VAR / "signing" / "shop.p12"


def shop_certificate() -> Certificate:
    """The certificate to sign with.

    Raises:
        CertificateMissing: there is none, it does not open, or it is out of date.
    """
    path = certificate_path()
    try:
        changed = path.stat().st_mtime_ns
    except OSError as problem:
        raise CertificateMissing(
            "The shop has no certificate to sign with yet. Run “manage.py make_certificate” once, "
            "or set SIGNING_P12 to a PKCS#12 file."
        ) from problem
    certificate = _open(path, settings.SIGNING_P12_PASSWORD, changed)
    if certificate.not_after < timezone.now():
        raise CertificateMissing(
            f"The certificate to sign with ran out on {certificate.not_after:%Y-%m-%d}. "
            "Run “manage.py make_certificate --renew”, or set SIGNING_P12 to a new one."
        )
    return certificate


def why_no_certificate() -> str:
    """Why the shop signs nothing: it has no certificate, or one that cannot be used. Empty where it has one."""
    try:
        shop_certificate()
    except CertificateMissing as missing:
        return missing.sentence
    return ""


@lru_cache(maxsize=2)
def _open(path: Path, password: str, changed: int) -> Certificate:
    from files.paper.kept_key import KeptKeySigner

    try:
        data = path.read_bytes()
        key, holder, _ = pkcs12.load_key_and_certificates(data, password.encode() or None)
        loaded = KeptKeySigner.load_pkcs12_data(data, other_certs=[], passphrase=password.encode() or None)
    except (OSError, ValueError) as problem:
        raise CertificateMissing(
            "The certificate to sign with does not open. Check SIGNING_P12 and SIGNING_P12_PASSWORD."
        ) from problem
    if key is None or holder is None:
        raise CertificateMissing("The file named by SIGNING_P12 holds no certificate with its key.")
    signer = KeptKeySigner(
        signing_cert=loaded.signing_cert, signing_key=loaded.signing_key, cert_registry=loaded.cert_registry
    )
    signer.kept_key = key
    return Certificate(
        signer=signer,
        sha256=holder.fingerprint(hashes.SHA256()).hex(),
        subject=holder.subject.rfc4514_string(),
        not_after=holder.not_valid_after_utc,
    )


def make_certificate(shop_name: str, *, renew: bool = False) -> Certificate:
    """Make a self-signed certificate for the shop and keep it with its key, readable by the owner of the file alone.

    The file is encrypted with ``SIGNING_P12_PASSWORD`` when that is set. With ``renew`` the old file is kept beside it.

    Raises:
        Refused: there is one already.
    """
    if settings.SIGNING_P12:
        raise Refused("SIGNING_P12 names a certificate of your own, so none is made. Unset it to have one made here.")
    path = certificate_path()
    if path.exists():
        if not renew:
            raise Refused(f"There is already a certificate: {path.name}. Use --renew to make another one.")
        path.rename(path.with_name(f"{path.stem}-until-{timezone.now():%Y%m%dT%H%M%S%f}{path.suffix}"))
    key = rsa.generate_private_key(public_exponent=65537, key_size=KEY_BITS)
    password = settings.SIGNING_P12_PASSWORD.encode()
    data = pkcs12.serialize_key_and_certificates(
        b"shop",
        key,
        _self_signed(shop_name, key),
        None,
        BestAvailableEncryption(password) if password else NoEncryption(),
    )
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
    return shop_certificate()


def _self_signed(shop_name: str, key: rsa.RSAPrivateKey | ec.EllipticCurvePrivateKey) -> x509.Certificate:
    """A certificate for signing documents and nothing else."""
    now = datetime.now(UTC)
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, shop_name[:64] or "Shop"),
            x509.NameAttribute(NameOID.COMMON_NAME, f"{shop_name[:44] or 'Shop'}, reports"),
        ]
    )
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(minutes=5))
        .not_valid_after(now + timedelta(days=365 * YEARS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([DOCUMENT_SIGNING]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def sign(pdf: bytes, certificate: Certificate, *, name: str, reason: str, location: str, contact: str) -> SignedPdf:
    """Certify a PDF that carries an empty signature field called ``FIELD``.

    Raises:
        Refused: a time-stamp service is set and gave no stamp, or the certificates cannot be proven.
    """
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign import signers
    from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter
    from pyhanko.stamp.noop import NoOpStampStyle

    from files.paper.stamping import TimeStamps

    stamps = TimeStamps.as_set(certificate.signer)
    metadata = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=MDPPerm.NO_CHANGES,
        name=name,
        reason=reason,
        location=location or None,
        contact_info=contact or None,
        **(stamps.metadata() if stamps else {}),
    )
    signer = signers.PdfSigner(
        metadata,
        certificate.signer,
        stamp_style=NoOpStampStyle(),
        timestamper=stamps.service() if stamps else None,
    )
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    # pyHanko begins an event loop of its own, which a thread that has one already cannot.
    with stamps.said_plainly() if stamps else nullcontext(), ThreadPoolExecutor(1) as beside:
        data = beside.submit(signer.sign_pdf, writer, existing_fields_only=True).result().getvalue()
    return SignedPdf(data, next(iter(signature_digests(data)), ""), "B-LTA" if stamps else "B-B")


@dataclass(frozen=True)
class ShopPaper:
    """A paper of the shop's; ``signed`` and ``certificate`` are None where the shop has nothing to sign with."""

    data: bytes
    pages: int
    signed: SignedPdf | None = None
    certificate: Certificate | None = None


def signed_where_possible(draw: Callable[[bool], Drawn], *, shop: str, contact: str, reason: str) -> ShopPaper:
    """What is drawn, signed by the shop; without a signature where the shop has no certificate.

    ``draw`` is told whether there must be a place for the signature.

    Raises:
        Refused: it cannot be drawn or signed as things are.
    """
    try:
        certificate = shop_certificate()
    except CertificateMissing:
        plain = draw(False)
        return ShopPaper(plain.data, plain.pages)
    drawn = draw(True)
    signed = sign(drawn.data, certificate, name=shop, reason=reason, location=shop, contact=contact)
    return ShopPaper(signed.data, drawn.pages, signed, certificate)


def signature_digests(data: bytes) -> Iterator[str]:
    """The digests of the signatures and stamps that the bytes of a PDF hold, in order; reads no more than that."""
    for found in islice(_CONTENTS.finditer(data), MOST_SIGNATURES):
        yield hashlib.sha256(found[1].lower()).hexdigest()
