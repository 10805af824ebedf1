"""A certificate to sign with, and a stage with the cast on it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from findings.reports.models import IssuedReport
    from tests.cast import Cast
    from workorders.models import Job


@pytest.fixture(scope="session")
def p12(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A certificate made by the program itself, once for all tests."""
    return tmp_path_factory.mktemp("signing") / "shop.p12"


@pytest.fixture(autouse=True)
def _certificate(p12: Path, settings, tmp_path: Path) -> None:
    from findings.reports import signing

    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = "", ""
    if not p12.exists():
        settings.VAR = p12.parent / "making"
        signing.make_certificate("Marlin Creek Marine")
        p12.write_bytes(signing.certificate_path().read_bytes())
    settings.SIGNING_P12 = str(p12)
    settings.MEDIA_ROOT = str(tmp_path / "media")
    settings.PUBLIC_URL = "https://reports.marlincreek.example.com"


@pytest.fixture(autouse=True)
def _quick_paper(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Issue on the paper drawn once, but for tests marked ``draws_its_paper``."""
    if "draws_its_paper" not in request.keywords:
        from findings.reports import issuing

        one_at_a_time = threading.Lock()  # several workers may issue at once, and fixtures are not made for that

        def drawn_before(*_: object, **__: object) -> object:
            with one_at_a_time:
                return request.getfixturevalue("drawn")

        monkeypatch.setattr(issuing, "draw_pdf", drawn_before)


@pytest.fixture
def cast(db) -> Cast:
    from django.core.cache import cache

    from tests.cast import make_cast

    cache.clear()
    return make_cast()


@pytest.fixture
def job(cast: Cast) -> Job:
    from tests.findings.reports import scene

    return scene.job_with_findings(cast)


@pytest.fixture
def issue(cast: Cast, django_capture_on_commit_callbacks) -> Callable[[Job], IssuedReport]:
    """Draft, review, sign and issue the report of a job."""
    from tests.findings.reports import scene

    return lambda job: scene.issued(cast, job, django_capture_on_commit_callbacks)
