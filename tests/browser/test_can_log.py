"""A CAN log goes from the file to the boat's log: with scripts the page turns by itself, without them by a link."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from findings.canlogs.models import CanLog
from findings.faults.models import Scan
from findings.readings.models import Reading
from findings.readings.parameters import seed_parameters
from tests.browser.driving import PHONE, TABLET, Tablets, main_button, problems, said, touch
from tests.cast import Cast
from tests.findings.canlogs.samples import OVER_TEMPERATURE, run_text
from tests.findings.story import open_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("has_scripts", [True, False])
def test_from_the_file_to_the_log(
    cast: Cast, tablets: Tablets, settings: Any, tmp_path: Path, has_scripts: bool
) -> None:
    settings.MEDIA_ROOT = str(tmp_path / "media")
    seed_parameters()
    job = open_job(cast)
    file = tmp_path / "trip.log"
    file.write_text(run_text(start=timezone.now() - timedelta(hours=2), status=OVER_TEMPERATURE))
    page = tablets.hand_out(cast.tech) if has_scripts else tablets.hand_out(cast.tech, java_script_enabled=False)
    press = touch if has_scripts else _press
    page.goto(f"/jobs/{job.number}/findings/")
    press(page.get_by_role("link", name="CAN logs"))
    page.locator("input[type=file]").set_input_files(file)
    with page.expect_navigation():
        main_button(page).tap()
    if not has_scripts:
        while page.locator("#reading").count():
            _press(page.get_by_role("link", name="Refresh"))
    page.wait_for_selector("#log-form")
    assert page.locator("h2", has_text="Senders in the log").count() == 1
    if has_scripts:
        assert problems(page, TABLET, PHONE) == []
        page.set_viewport_size(TABLET)
    press(main_button(page))
    assert said(page).strip().startswith("Logged from “trip.log”: 1 scan, 2 codes, 8 readings.")
    log = CanLog.objects.get()
    assert Scan.objects.get().file_sha256 == log.sha256
    assert Reading.objects.filter(file_sha256=log.sha256).count() == 8


def _press(target: Any) -> None:
    with target.page.expect_navigation():
        target.tap()
