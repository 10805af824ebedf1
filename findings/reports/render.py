"""Drawing a record on paper."""

from __future__ import annotations

import zoneinfo

from django.template.loader import render_to_string
from django.utils import timezone

from files.paper.drawing import AttachedFile, Drawn, Stationery, draw
from findings.reports.paper import paper_of
from findings.reports.record import Record, to_json

RECORD_NAME = "record.json"
STYLES = ("css/findings/report.css",)


def paper_html(record: Record, stationery: Stationery) -> str:
    """The whole document as HTML: what both the PDF and the preview show."""
    with timezone.override(zoneinfo.ZoneInfo(record.findings.shop.time_zone)):
        return render_to_string(
            "findings/reports/paper/document.html", {"paper": paper_of(record, logo_png=stationery.logo_png)}
        )


def draw_pdf(record: Record, stationery: Stationery, *, data: bytes | None = None) -> Drawn:
    """The record as a PDF, ready to be signed when it is issued; a draft is marked as such on every page.

    ``data`` is the record's JSON as it was frozen, which is attached as it is.
    """
    html = paper_html(record, stationery)
    if not record.issue:
        return draw(html, size=stationery.size, styles=STYLES)
    return draw(
        html,
        size=stationery.size,
        styles=STYLES,
        signature_title=f"Signature of {record.issue.signer.name} on report {record.issue.number}",
        attachments=[AttachedFile(RECORD_NAME, data or to_json(record), "The same report as data")],
    )
