"""The signature, by two implementations that are not ours: pdfsig (poppler, with NSS) and pyHanko's validator.

Source: ETSI EN 319 142-1 (PAdES baseline B-B: SubFilter ETSI.CAdES.detached). "Valid" alone is not enough: a file with
bytes appended is still valid for the part that was signed, so that the whole document must be signed as well.
"""

from __future__ import annotations

import asyncio
import io
import subprocess
from pathlib import Path

import pytest
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import async_validate_pdf_signature
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from findings.reports import render, signing
from tests.reports import sample


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, signing.Certificate]:
    from django.test import override_settings

    with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="", VAR=tmp_path_factory.mktemp("signing")):
        certificate = signing.make_certificate("Marlin Creek Marine")
        mode = signing.certificate_path().stat().st_mode
        assert mode & 0o077 == 0
    drawn = render.draw_pdf(sample.record(), render.Stationery("letter"))
    done = signing.sign(
        drawn.data,
        certificate,
        name="Orla Brandt",
        reason="Condition report 1032-1 code H7KM-4R2P",
        location="",
        contact="",
    )
    return done.data, certificate


def pdfsig(data: bytes, folder: Path) -> str:
    file = folder / "report.pdf"
    file.write_bytes(data)
    done = subprocess.run(["pdfsig", str(file)], capture_output=True, text=True, timeout=60, check=False)
    return done.stdout


def by_pyhanko(data: bytes, certificate: signing.Certificate):
    reader = PdfFileReader(io.BytesIO(data))
    context = ValidationContext(trust_roots=[certificate.signer.signing_cert], allow_fetching=False)
    return asyncio.run(async_validate_pdf_signature(reader.embedded_signatures[0], context))


def middle_of_signed_range(data: bytes) -> int:
    return data.index(b"/Contents <") // 2


def test_pdfsig_finds_the_whole_document_validly_signed(signed, tmp_path: Path) -> None:
    said = pdfsig(signed[0], tmp_path)
    assert "Signature Type: ETSI.CAdES.detached" in said
    assert "Signature is Valid" in said
    assert "Total document signed" in said
    assert "Not total document signed" not in said


def test_pyhanko_trusts_it_once_the_certificate_is_trusted(signed) -> None:
    status = by_pyhanko(*signed)
    assert (status.intact, status.valid, status.trusted) == (True, True, True)
    assert status.coverage == SignatureCoverageLevel.ENTIRE_FILE


def test_a_certificate_of_the_shop_s_own_with_an_elliptic_key_signs_as_well(tmp_path: Path, settings) -> None:
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12

    key = ec.generate_private_key(ec.SECP256R1())
    made = signing._self_signed("Somebody else’s authority", key)
    file = tmp_path / "own.p12"
    file.write_bytes(
        pkcs12.serialize_key_and_certificates(b"own", key, made, None, BestAvailableEncryption(b"of-the-shop"))
    )
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = str(file), "of-the-shop"
    certificate = signing.shop_certificate()
    assert certificate.sha256 == made.fingerprint(hashes.SHA256()).hex()
    drawn = render.draw_pdf(sample.record(), render.Stationery("letter"))
    done = signing.sign(drawn.data, certificate, name="Orla Brandt", reason="Test", location="", contact="")
    said = pdfsig(done.data, tmp_path)
    assert "Signature is Valid" in said
    assert "Total document signed" in said


def test_one_changed_byte_is_refused(signed, tmp_path: Path) -> None:
    data, certificate = signed
    changed = bytearray(data)
    changed[middle_of_signed_range(data)] ^= 1
    assert "Digest Mismatch" in pdfsig(bytes(changed), tmp_path)
    assert by_pyhanko(bytes(changed), certificate).intact is False


def test_an_appended_byte_is_refused(signed, tmp_path: Path) -> None:
    data, certificate = signed
    said = pdfsig(data + b"\n", tmp_path)
    assert "Not total document signed" in said
    assert by_pyhanko(data + b"\n", certificate).coverage != SignatureCoverageLevel.ENTIRE_FILE
