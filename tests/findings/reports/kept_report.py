"""The report of the job with findings: signed once, its rows and its files put back for every further test."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from django.test import TestCase

from tests.cast import make_cast
from tests.findings.reports import scene
from tests.kept_rows import KeptRows


def _tell() -> None:
    cast = make_cast()
    scene.issued(cast, scene.job_with_findings(cast), TestCase.captureOnCommitCallbacks)


@dataclass
class KeptReport:
    """Rows in the transaction of a test, files in its media folder."""

    rows: KeptRows = field(default_factory=lambda: KeptRows(_tell))
    files: dict[Path, bytes] = field(default_factory=dict)

    def put(self, media: Path) -> None:
        """Put it there; the first time, sign it."""
        self.rows.put()
        for path, data in self.files.items():
            (media / path).parent.mkdir(parents=True, exist_ok=True)
            (media / path).write_bytes(data)
        self.files = {path.relative_to(media): path.read_bytes() for path in media.rglob("*") if path.is_file()}
