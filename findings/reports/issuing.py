"""From a frozen record to an issued report: drawing, signing, and the entry in the log."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from contextlib import AbstractContextManager

from django.db import transaction

from files.paper import signing
from files.paper.drawing import Drawn, Stationery
from findings.reports.models import DraftState, IssuedReport, ReportDraft
from findings.reports.record import IssueFacts, from_json
from findings.reports.render import draw_pdf
from findings.reports.storage import store_pdf
from staff.queries import shop_profile
from vessels.log.chain import NewEntry, append, lock_log

Finishing = Callable[[], AbstractContextManager[None]]


def issue(draft_id: int, *, finishing: Finishing = transaction.atomic) -> IssuedReport | None:
    """Issue the report that a draft holds. Answers with the issued one when there is one.

    ``finishing`` gives the transaction that stores it.

    Raises:
        Refused: it can't be signed as things are; trying again does not help.
    """
    draft = ReportDraft.objects.select_related("job__vessel", "signer").filter(pk=draft_id).first()
    if draft is None or draft.state != DraftState.SIGNING:
        return IssuedReport.objects.filter(draft_id=draft_id).first()
    return _draw_and_issue(draft, finishing)


def _draw_and_issue(draft: ReportDraft, finishing: Finishing = transaction.atomic) -> IssuedReport | None:
    record = from_json(draft.record)
    facts = record.issue
    if facts is None:
        raise ValueError("a record to be signed has a number")
    certificate = signing.shop_certificate()
    drawn = draw_pdf(record, Stationery.of_shop(shop_profile()), data=draft.record.encode())
    shop = record.findings.shop
    signed = signing.sign(
        drawn.data,
        certificate,
        name=facts.signer.name,
        reason=signature_mark(facts.number, facts.code),
        location=shop.name,
        contact=shop.email,
    )
    store_pdf(signed.data)
    with finishing():
        return _write_down(draft, facts, drawn, signed, certificate)


def signature_mark(number: str, code: str) -> str:
    """The words in the signature by which an altered copy is still known as one of ours."""
    return f"Condition report {number} code {code}"


def _write_down(
    draft: ReportDraft, facts: IssueFacts, drawn: Drawn, signed: signing.SignedPdf, certificate: signing.Certificate
) -> IssuedReport | None:
    """Add the report to the log, unless somebody was quicker or the signing was canceled meanwhile."""
    vessel = draft.job.vessel
    if known := lock_log(vessel, entry_id=draft.entry_id, kind="report-issued"):
        return IssuedReport.objects.get(pk=known.pk)
    stored = ReportDraft.objects.select_for_update().get(pk=draft.pk)
    if stored.state != DraftState.SIGNING or stored.record != draft.record:
        return None
    if stored.signer is None or stored.sequence is None:
        raise ValueError("a draft that is being signed has a signer and a number")
    report = IssuedReport(
        draft=stored,
        job=draft.job,
        sequence=stored.sequence,
        number=facts.number,
        code=facts.code,
        record=stored.record,
        record_sha256=hashlib.sha256(stored.record.encode()).hexdigest(),
        pdf_sha256=hashlib.sha256(signed.data).hexdigest(),
        pdf_size=len(signed.data),
        pages=drawn.pages,
        signature_sha256=signed.signature_sha256,
        certificate_sha256=certificate.sha256,
        level=signed.level,
        signer=stored.signer,
        signed_at=facts.signed_at,
        supersedes=stored.supersedes,
    )
    instead = f", in place of {facts.supersedes}" if facts.supersedes else ""
    append(
        NewEntry(
            kind="report-issued",
            vessel=vessel,
            author=stored.signer,
            summary=f"Condition report {facts.number} was signed and issued{instead}.",
            happened_at=facts.signed_at,
            id=draft.entry_id,
            job_id=draft.job_id,
        ),
        detail=report,
    )
    stored.state, stored.problem = DraftState.ISSUED, ""
    stored.save(update_fields=["state", "problem"])
    return report
