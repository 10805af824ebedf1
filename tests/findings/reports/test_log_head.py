"""The head over the whole log stands on each report, so that a log written anew no longer fits the paper."""

from __future__ import annotations

import io
import json

import pikepdf
import pytest
from django.core.management import call_command
from django.template.loader import render_to_string

from findings.reports.paper import paper_of
from findings.reports.record import from_json
from findings.reports.storage import stored_pdf
from vessels.log.anchor import current_head
from vessels.models import LogAnchor


@pytest.mark.draws_its_paper
def test_the_head_as_it_was_when_it_was_signed_is_on_paper_and_in_the_file(job, issue):
    report = issue(job)
    facts = json.loads(report.record)["issue"]
    anchor = LogAnchor.objects.get(number=facts["log_number"])
    assert facts["log_head"] == anchor.head
    assert [job.vessel_id, report.entry.position - 1] in [pin[:2] for pin in anchor.changed]
    assert current_head().number == anchor.number + 1, "the report's own entry came after it"
    with pikepdf.open(io.BytesIO(stored_pdf(report))) as pdf:
        assert anchor.head in pdf.attachments["record.json"].get_file().read_bytes().decode()
    markup = render_to_string("findings/reports/paper/document.html", {"paper": paper_of(from_json(report.record))})
    assert f"Fingerprint no. {anchor.number} of the shop’s whole log" in markup
    assert f'<span class="rp-code">{anchor.head}</span>. With it the shop can show' in markup
    assert f"head {anchor.number}" not in markup
    assert "every byte" not in markup
    said = io.StringIO()
    call_command("verify_log", "--head", str(anchor.number), anchor.head, stdout=said)
    assert "every digest agrees" in said.getvalue()
