"""The published schema is the one that records are checked against."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from files.paper.drawing import Stationery
from findings.reports import schema
from findings.reports.record import from_json, to_json
from findings.reports.render import paper_html
from tests.findings.reports import sample


def test_the_published_file_is_what_the_program_checks_by(project_root: Path) -> None:
    assert (project_root / "docs" / "report-schema.json").read_text() == schema.published()


def test_a_record_goes_to_json_and_back_whole() -> None:
    record = sample.record()
    schema.check(to_json(record))
    assert from_json(to_json(record)) == record


def test_a_record_of_the_first_form_is_still_read_and_shown(project_root: Path) -> None:
    """What was signed before stays readable, and says nothing that it did not say then."""
    file = project_root / "tests" / "findings" / "reports" / "record-of-the-first-form.json"
    old = json.loads((project_root / "docs" / "report-schema-1.json").read_text())
    Draft202012Validator(old).validate(json.loads(file.read_text()))
    record = from_json(file.read_bytes())
    assert record.format == "condition-report/1"
    assert record.findings.coverage == ()
    words = paper_html(record, Stationery("letter"))
    assert "SPN 110 FMI 0" in words


def test_a_record_of_the_second_form_is_still_read_and_shown(project_root: Path) -> None:
    """It knew no state for what is not fixed yet, and listed no clears."""
    file = project_root / "tests" / "findings" / "reports" / "record-of-the-second-form.json"
    old = json.loads((project_root / "docs" / "report-schema-2.json").read_text())
    Draft202012Validator(old).validate(json.loads(file.read_text()))
    record = from_json(file.read_bytes())
    assert record.format == "condition-report/2"
    words = paper_html(record, Stationery("letter"))
    assert "SPN 110 FMI 0" in words


def test_a_record_of_no_known_form_is_refused() -> None:
    with pytest.raises(ValueError, match="known format"):
        from_json(b'{"format": "condition-report/99"}')
