"""A certificate to sign with, and a stage with the cast on it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pytest_django import Settings

    from findings.reports.models import IssuedReport
    from tests.cast import Cast
    from tests.findings.reports.kept_report import KeptReport
    from tests.kept_rows import KeptRows
    from workorders.models import Job


@pytest.fixture(scope="session")
def p12(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A certificate made by the program itself, once for all tests."""
    return tmp_path_factory.mktemp("signing") / "shop.p12"


@pytest.fixture(autouse=True)
def _certificate(p12: Path, settings: Settings, tmp_path: Path) -> None:
    from files.paper import signing

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


@pytest.fixture(scope="session")
def told_once() -> KeptRows:
    """The cast and the job with findings, which take longer to tell than most tests take."""
    from tests.cast import make_cast
    from tests.findings.reports import scene
    from tests.kept_rows import KeptRows

    return KeptRows(lambda: scene.job_with_findings(make_cast()))


@pytest.fixture(scope="session")
def issued_once() -> dict[bool, KeptReport]:
    """That job with its report, which is signed: on the paper of all tests, and on its own."""
    from tests.findings.reports.kept_report import KeptReport

    return {is_own: KeptReport() for is_own in (False, True)}


@pytest.fixture
def cast(db, request: pytest.FixtureRequest, settings: Settings) -> Cast:
    """The people, the customer and the boat; where a test has the job or the report as well, as they were told once."""
    from django.core.cache import cache

    from tests.cast import cast_on_stage, make_cast

    cache.clear()
    if "report" in request.fixturenames:
        request.getfixturevalue("issued_once")["draws_its_paper" in request.keywords].put(Path(settings.MEDIA_ROOT))
    elif "job" in request.fixturenames:
        request.getfixturevalue("told_once").put()
    else:
        return make_cast()
    return cast_on_stage()


@pytest.fixture
def report(cast: Cast) -> IssuedReport:
    """The report of the job with findings."""
    from findings.reports.models import IssuedReport

    return IssuedReport.objects.get()


@pytest.fixture
def job(cast: Cast) -> Job:
    """The job with findings of that boat."""
    from workorders.models import Job

    found = Job.objects.get()
    found.vessel, found.customer, found.opened_by = cast.vessel, cast.customer, cast.desk
    return found


@pytest.fixture
def issue(cast: Cast, django_capture_on_commit_callbacks) -> Callable[[Job], IssuedReport]:
    """Draft, review, sign and issue the report of a job."""
    from tests.findings.reports import scene

    return lambda job: scene.issued(cast, job, django_capture_on_commit_callbacks)
