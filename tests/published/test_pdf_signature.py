"""The signature, by two implementations that are not ours: pdfsig (poppler, with NSS) and pyHanko's validator.

Sources: ETSI EN 319 142-1 (PAdES: SubFilter ETSI.CAdES.detached; baseline B-B and B-LTA), ISO 32000-2, 12.8.2.2
(DocMDP: with P 1 no change of the document is allowed but proofs and time stamps), RFC 3161 (time stamps), RFC 5280
(revocation lists). "Valid" alone is not enough: a file with bytes appended is still valid for the part that was signed.
What each reader finds is what docs/report.md says.
"""

from __future__ import annotations

import asyncio
import io
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.test import override_settings
from pyhanko.keys import load_certs_from_pemder
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import signers
from pyhanko.sign.ades.report import AdESPassed
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.fields import MDPPerm
from pyhanko.sign.general import SigningError
from pyhanko.sign.validation import async_validate_pdf_signature
from pyhanko.sign.validation.ades import ades_lta_validation
from pyhanko.sign.validation.policy_decl import (
    PdfSignatureValidationSpec,
    RevinfoOnlineFetchingRule,
    RevocationInfoGatheringSpec,
    SignatureValidationSpec,
)
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext
from pyhanko_certvalidator.context import CertValidationPolicySpec
from pyhanko_certvalidator.policy_decl import CertRevTrustPolicy, RevocationCheckingPolicy
from pyhanko_certvalidator.registry import SimpleTrustManager

from files.paper import signing
from files.paper.drawing import Drawn, Stationery
from files.paper.stamping import StampMissing
from findings.reports import render
from tests.findings.reports import sample
from tests.published.stamping_service import PASSWORD, Service, stamping_service
from tests.published.vera import broken_rules


def certify(paper: Drawn, certificate: signing.Certificate) -> signing.SignedPdf:
    return signing.sign(
        paper.data,
        certificate,
        name="Orla Brandt",
        reason="Condition report 1032-1 code H7KM-4R2P",
        location="Marlin Creek Marine",
        contact="",
    )


@pytest.fixture(scope="module")
def paper() -> Drawn:
    """A short one: who looks for changes reads every part of it, and test_pdf_archive.py signs long ones."""
    return render.draw_pdf(sample.bare(), Stationery("letter"))


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[signing.Certificate]:
    """The certificate that the program makes for a shop."""
    with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="", VAR=tmp_path_factory.mktemp("signing")):
        certificate = signing.make_certificate("Marlin Creek Marine")
        assert signing.certificate_path().stat().st_mode & 0o077 == 0
        yield certificate


@pytest.fixture(scope="module")
def signed(own: signing.Certificate, paper: Drawn) -> bytes:
    done = certify(paper, own)
    assert done.level == "B-B"
    return done.data


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    with stamping_service(tmp_path_factory.mktemp("stamps")) as answering:
        yield answering


@pytest.fixture(scope="module")
def lasting(service: Service, own: signing.Certificate, paper: Drawn) -> dict[str, bytes]:
    """Signed with time stamps: by the shop's own certificate, and by one of an authority."""
    made = {}
    for name, p12, password in [("own", "", ""), ("of an authority", str(service.p12), PASSWORD)]:
        with override_settings(
            SIGNING_P12=p12, SIGNING_P12_PASSWORD=password, TIMESTAMP_URL=service.url, TIMESTAMP_CA=str(service.root)
        ):
            done = certify(paper, signing.shop_certificate() if p12 else own)
        assert done.level == "B-LTA"
        made[name] = done.data
    return made


def pdfsig(data: bytes, folder: Path) -> str:
    file = folder / "report.pdf"
    file.write_bytes(data)
    done = subprocess.run(["pdfsig", str(file)], capture_output=True, text=True, timeout=60, check=False)
    return done.stdout


def qpdf(data: bytes, folder: Path) -> int:
    file = folder / "report.pdf"
    file.write_bytes(data)
    return subprocess.run(["qpdf", "--check", str(file)], capture_output=True, timeout=60, check=False).returncode


def by_pyhanko(data: bytes, *roots: Any) -> Any:
    reader = PdfFileReader(io.BytesIO(data))
    context = ValidationContext(trust_roots=roots, allow_fetching=False)
    return asyncio.run(async_validate_pdf_signature(reader.embedded_regular_signatures[0], context))


def with_another_title(data: bytes) -> bytes:
    """The file with its title changed by an update that leaves every signed byte in place."""
    writer = IncrementalPdfFileWriter(io.BytesIO(data))
    writer.set_info(generic.DictionaryObject({generic.pdf_name("/Title"): generic.TextStringObject("Nothing found")}))
    out = io.BytesIO()
    writer.write(out)
    assert out.getvalue().startswith(data)
    return out.getvalue()


def with_another_page(data: bytes) -> bytes:
    """The file with the contents of its first page changed by an update that leaves every signed byte in place."""
    writer = IncrementalPdfFileWriter(io.BytesIO(data))
    reference = writer.find_page_for_modification(0)[0]
    reference.get_object()["/Contents"] = writer.add_object(generic.StreamObject(stream_data=b"BT ET"))
    writer.mark_update(reference)
    out = io.BytesIO()
    writer.write(out)
    assert out.getvalue().startswith(data)
    return out.getvalue()


def middle_of_signed_range(data: bytes) -> int:
    return data.index(b"/Contents <") // 2


def test_pdfsig_finds_the_whole_document_validly_signed(signed: bytes, tmp_path: Path) -> None:
    said = pdfsig(signed, tmp_path)
    assert "Signature Type: ETSI.CAdES.detached" in said
    assert "Signature is Valid" in said
    assert "Total document signed" in said
    assert "Not total document signed" not in said


def test_pyhanko_trusts_it_once_the_certificate_is_trusted(signed: bytes, own: signing.Certificate) -> None:
    status = by_pyhanko(signed, own.signer.signing_cert)
    assert (status.intact, status.valid, status.trusted, status.bottom_line) == (True, True, True, True)
    assert status.coverage == SignatureCoverageLevel.ENTIRE_FILE


def test_it_is_certified_and_allows_no_change(signed: bytes) -> None:
    reader = PdfFileReader(io.BytesIO(signed))
    (signature,) = reader.embedded_signatures
    assert signature.docmdp_level is MDPPerm.NO_CHANGES
    with pikepdf.open(io.BytesIO(signed)) as pdf:
        assert pdf.Root.Perms.DocMDP.Reference[0].TransformParams.P == 1


def test_a_certificate_of_the_shop_s_own_with_an_elliptic_key_signs_as_well(
    service: Service, paper: Drawn, tmp_path: Path
) -> None:
    with override_settings(SIGNING_P12=str(service.p12), SIGNING_P12_PASSWORD=PASSWORD):
        said = pdfsig(certify(paper, signing.shop_certificate()).data, tmp_path)
    assert "Signature is Valid" in said
    assert "Total document signed" in said


def test_one_changed_byte_is_refused(signed: bytes, own: signing.Certificate, tmp_path: Path) -> None:
    changed = bytearray(signed)
    changed[middle_of_signed_range(signed)] ^= 1
    assert "Digest Mismatch" in pdfsig(bytes(changed), tmp_path)
    assert by_pyhanko(bytes(changed), own.signer.signing_cert).bottom_line is False


def test_an_appended_byte_is_seen_by_who_looks_at_the_extent(
    signed: bytes, own: signing.Certificate, tmp_path: Path
) -> None:
    said = pdfsig(signed + b"\n", tmp_path)
    assert "Not total document signed" in said
    assert "Signature is Valid" in said
    assert by_pyhanko(signed + b"\n", own.signer.signing_cert).coverage != SignatureCoverageLevel.ENTIRE_FILE
    assert qpdf(signed + b"\n", tmp_path) == 0


def test_a_changed_page_is_refused(signed: bytes, own: signing.Certificate, tmp_path: Path) -> None:
    changed = with_another_page(signed)
    status = by_pyhanko(changed, own.signer.signing_cert)
    assert (status.intact, status.docmdp_ok, status.bottom_line) == (True, False, False)
    assert "Not total document signed" in pdfsig(changed, tmp_path)
    assert qpdf(changed, tmp_path) == 0


def test_another_signature_over_it_is_refused_because_the_first_certifies(
    signed: bytes, own: signing.Certificate
) -> None:
    writer = IncrementalPdfFileWriter(io.BytesIO(signed))
    metadata = signers.PdfSignatureMetadata(field_name="another", docmdp_permissions=MDPPerm.FILL_FORMS)
    both = signers.PdfSigner(metadata, own.signer)
    with pytest.raises(SigningError):
        both.sign_pdf(writer)


def test_a_changed_title_is_seen_by_who_looks_at_the_extent(
    signed: bytes, own: signing.Certificate, tmp_path: Path
) -> None:
    """pyHanko takes a title in the file's information for no change of the document, and says that it was extended."""
    changed = with_another_title(signed)
    status = by_pyhanko(changed, own.signer.signing_cert)
    assert status.coverage != SignatureCoverageLevel.ENTIRE_FILE
    assert (status.modification_level, status.bottom_line) == (ModificationLevel.LTA_UPDATES, True)
    assert by_pyhanko(signed, own.signer.signing_cert).modification_level is ModificationLevel.NONE
    assert "Not total document signed" in pdfsig(changed, tmp_path)
    assert qpdf(changed, tmp_path) == 0


# With time stamps.


@pytest.mark.parametrize("which", ["own", "of an authority"])
def test_it_can_be_checked_from_the_file_alone(lasting, own: signing.Certificate, service: Service, which: str) -> None:
    """All that a check needs is in the file: no question goes out."""
    trusted = SimpleTrustManager.build([own.signer.signing_cert, *load_certs_from_pemder([str(service.root)])])
    hard = CertRevTrustPolicy(RevocationCheckingPolicy.from_legacy("hard-fail"))
    spec = SignatureValidationSpec(
        CertValidationPolicySpec(trusted, hard),
        revinfo_gathering_policy=RevocationInfoGatheringSpec(RevinfoOnlineFetchingRule.LOCAL_ONLY),
    )
    before = len(service.asked)
    reader = PdfFileReader(io.BytesIO(lasting[which]))
    (signature,) = reader.embedded_regular_signatures
    found = asyncio.run(ades_lta_validation(signature, PdfSignatureValidationSpec(spec)))
    assert found.ades_subindic is AdESPassed.OK
    assert found.best_signature_time is not None
    assert len(reader.embedded_timestamp_signatures) == 1
    assert len(service.asked) == before


def test_revocation_data_is_kept_in_the_file(lasting) -> None:
    for data in lasting.values():
        with pikepdf.open(io.BytesIO(data)) as pdf:
            assert len(pdf.Root.DSS.CRLs) >= 1
            assert len(pdf.Root.DSS.Certs) >= 2


def test_pdfsig_finds_the_signature_valid_but_cannot_judge_what_was_added(lasting, tmp_path: Path) -> None:
    said = pdfsig(lasting["own"], tmp_path)
    assert "Signature is Valid" in said
    assert "Not total document signed" in said
    assert "Signature has not yet been verified" in said


def test_a_changed_page_is_refused_with_time_stamps_as_well(
    lasting, own: signing.Certificate, service: Service
) -> None:
    roots = [own.signer.signing_cert, *load_certs_from_pemder([str(service.root)])]
    assert by_pyhanko(lasting["own"], *roots).docmdp_ok is True
    status = by_pyhanko(with_another_page(lasting["own"]), *roots)
    assert (status.docmdp_ok, status.bottom_line) == (False, False)


def test_it_stays_an_archive_and_accessible(lasting, tmp_path: Path) -> None:
    """PDF/A-3A and PDF/UA-1 (veraPDF), proofs and stamps included."""
    file = tmp_path / "lasting.pdf"
    file.write_bytes(lasting["of an authority"])
    assert broken_rules(file)[str(file)] == {"3a": [], "ua1": []}


def test_without_an_answer_nothing_is_signed(service: Service, own: signing.Certificate, paper: Drawn) -> None:
    broken = service.url.replace("/stamp", "/broken")
    for url, root, said in [(broken, str(service.root), "gave no stamp"), (service.url, "", "TIMESTAMP_CA")]:
        with override_settings(TIMESTAMP_URL=url, TIMESTAMP_CA=root), pytest.raises(StampMissing, match=said):
            certify(paper, own)
