"""The published schema is the one that records are checked against."""

from __future__ import annotations

from pathlib import Path

from findings.reports import schema


def test_the_published_file_is_what_the_program_checks_by(project_root: Path) -> None:
    assert (project_root / "docs" / "report-schema.json").read_text() == schema.published()
