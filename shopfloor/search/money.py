"""Invoices, credit notes, estimates and payments by their numbers. No sum shows in what is found."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from django.urls import reverse

from billing.invoices.models import MEANS
from shopfloor.search.found import FEW, Group, Hit, has_digit
from vessels.models.searching import squeeze
from vessels.wording import date_words
from web.rows import rows

_ESTIMATE = re.compile(
    r"est(?:imate|\.)?[\s.#:]*([0-9]{1,9})(?:[\s,.-]*v(?:ersion)?[\s.]*([0-9]{1,4}))?", re.IGNORECASE
)
_WORD = re.compile(
    r"(?:invoice|credit note|check|cheque|card|transfer|slip|payment|reference|ref|no|nr|#)[\s.#:]+", re.IGNORECASE
)
_VESSEL = """COALESCE(NULLIF(vessel.name, ''), NULLIF(concat_ws(
             ' ', NULLIF(vessel.maker, ''), NULLIF(vessel.model, '')), ''), 'Vessel ' || vessel.id)"""
_NUMBERED = "= ANY(ARRAY(SELECT prefix || %(number)s FROM documents_numberseries) || %(number)s::text)"
_PAPERS = f"""
    SELECT 'invoice' AS sort, paper.id AS pk, paper.id AS invoice, paper.number, customer.name AS customer,
           job.number AS job, '' AS means, NULL::date AS day
    FROM invoices_invoice paper JOIN vessels_customer customer ON customer.id = paper.customer_id
    JOIN workorders_job job ON job.id = paper.job_id WHERE paper.number {_NUMBERED}
    UNION ALL
    SELECT 'credit', paper.id, paper.invoice_id, paper.number, customer.name, job.number, '', NULL
    FROM invoices_creditnote paper JOIN vessels_customer customer ON customer.id = paper.customer_id
    JOIN invoices_invoice of ON of.id = paper.invoice_id JOIN workorders_job job ON job.id = of.job_id
    WHERE paper.number {_NUMBERED}
    UNION ALL
    (SELECT 'payment', payment.customer_id, payment.invoice_id, payment.reference, customer.name, NULL, payment.means,
            payment.day
     FROM (SELECT * FROM invoices_payment
           WHERE UPPER(reference) = %(number)s AND reference <> '' AND kind = 'received' OFFSET 0) payment
     JOIN vessels_customer customer ON customer.id = payment.customer_id
     ORDER BY payment.id DESC LIMIT %(most)s)
"""  # noqa: S608  (put together from what the program says)
# OFFSET 0 has payments found by their reference before they are sorted. The database keeps no count of what a partial
# index holds, takes one reference in 200 for the one that is asked for, and else reads all payments, last first.
_ESTIMATES = f"""
    SELECT job.number AS job, estimate.revision, {_VESSEL} AS vessel, customer.name AS customer,
           EXISTS(SELECT FROM estimates_estimate later WHERE later.replaces_id = estimate.id
                  AND later.given_at IS NOT NULL) AS is_replaced
    FROM estimates_estimate estimate JOIN workorders_job job ON job.id = estimate.job_id
    JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
    JOIN vessels_customer customer ON customer.id = job.customer_id
    WHERE job.number = %(number)s AND estimate.given_at IS NOT NULL
          AND (%(version)s::int IS NULL OR estimate.revision = %(version)s::int)
    ORDER BY estimate.revision DESC LIMIT %(most)s
"""  # noqa: S608


def papers(text: str) -> Group:
    """Invoices and credit notes by their whole number or its digits, and payments by the number of their check."""
    wanted = _WORD.sub("", text, count=1).strip().upper() if _WORD.match(text) else text.upper()
    if not has_digit(wanted):
        return Group("Invoices and payments", "file-text", [])
    found = rows(_paper_hit, _PAPERS, {"number": wanted, "most": FEW + 1})
    hits = [_exactly(hit, wanted) for hit in found[:FEW]]
    return Group("Invoices and payments", "file-text", hits, len(found) > FEW)


def _paper_hit(
    *,
    sort: str,
    pk: int,
    invoice: int | None,
    number: str,
    customer: str,
    job: int | None,
    means: str,
    day: date | None,
) -> Hit:
    if sort == "payment":
        facts = f"{customer} · {date_words(day)}" if day else customer
        return Hit(f"{dict(MEANS)[means]} {number}", reverse("invoices:customer", args=[pk]), facts)
    word = "Invoice" if sort == "invoice" else "Credit note"
    return Hit(f"{word} {number}", reverse("invoices:invoice", args=[invoice]), f"{customer} · job {job}")


def _exactly(hit: Hit, wanted: str) -> Hit:
    """A hit that bears the whole number, with its letters, is what was named."""
    whole = squeeze(hit.title.rpartition(" ")[2])
    is_exact = not wanted.isdigit() and whole == squeeze(wanted)
    return Hit(hit.title, hit.url, hit.facts, is_exact=is_exact)


def estimates(text: str) -> Group:
    """Estimates that were given, by the number of their job: “estimate 1081”, “est 1081 version 2”."""
    asked = _ESTIMATE.fullmatch(text)
    hits: list[Hit] = []
    if asked and int(asked[1]) < 2**31:
        version: Any = int(asked[2]) if asked[2] else None
        hits = rows(_estimate_hit, _ESTIMATES, {"number": int(asked[1]), "version": version, "most": FEW})
    return Group("Estimates", "file-text", hits)


def _estimate_hit(job: int, revision: int, vessel: str, customer: str, *, is_replaced: bool) -> Hit:
    url = reverse("estimates:given", args=[job, revision])
    tag = "replaced" if is_replaced else ""
    return Hit(f"Estimate {job}, version {revision}", url, f"{vessel} · {customer}", tag=tag, is_exact=True)
