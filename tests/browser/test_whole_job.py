"""The whole job by four people on a tablet: from the counter to a signed report that a stranger verifies."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.cache import cache
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from findings.models import Fault
from findings.reports.models import IssuedReport
from findings.reports.signing import certificate_path, make_certificate
from tests.cast import PASSWORD, Cast, make_cast
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(scope="module", autouse=True)
def _queries_beside_a_browser() -> Iterator[None]:
    """The browser's driver runs an event loop in this thread, in which Django would refuse to ask the database."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        yield


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield browser
        browser.close()


@pytest.fixture
def cast(transactional_db: None) -> Cast:
    cache.clear()
    return make_cast()


Tablet = Callable[..., Page]


@pytest.fixture
def tablet(chromium: Browser, live_server: Any) -> Iterator[Tablet]:
    """Hands out a tablet on which a person is signed in, or nobody is."""
    made: list[Page] = []
    complaints: list[str] = []

    def hand_out(person: Any = None, **more: Any) -> Page:
        context = chromium.new_context(
            viewport={"width": 1024, "height": 768}, has_touch=True, base_url=live_server.url, **more
        )
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        if person is not None:
            client = Client()
            client.force_login(person)
            cookie = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
        made.append(page)
        return page

    yield hand_out
    for page in made:
        page.context.close()
    assert complaints == []


def sound(page: Page) -> None:
    """Nothing for axe to find on the page as it stands."""
    results = Axe().run(page)
    assert results.violations_count == 0, f"{page.url}\n{results.generate_report()}"


def main_button(page: Page) -> Any:
    return page.locator(".thumb .btn-main")


def send(page: Page) -> None:
    """Press the main action and wait for the page that follows."""
    with page.expect_navigation():
        main_button(page).click()


def open_the_job(page: Page) -> int:
    page.goto("/jobs/open/")
    sound(page)
    page.get_by_role("button", name="New customer and boat").click()
    page.locator("[name=customer-name]").fill("Ines Calloway")
    page.locator("[name=customer-phone]").fill("(555) 555-0177")
    page.locator("[name=boat-name]").fill("Sea Ember")
    page.locator("[name=boat-hin]").fill("ZZT10555C919")
    page.locator("[name=engine-0-maker]").fill("Norrland")
    page.locator("[name=engine-0-model]").fill("D6T-370")
    page.locator("[name=engine-0-serial]").fill("NL-30001")
    page.locator("[name=engine-0-meter_shown]").fill("412,5")
    page.locator("[name=concern-0-text]").fill("Hot at cruise, she slowed down by herself.")
    sound(page)
    page.get_by_role("button", name="Open the job").click()
    page.wait_for_url("**/jobs/1*/")
    sound(page)
    return int(page.url.rstrip("/").rsplit("/", 1)[1])


def move(page: Page, number: int, button: str) -> None:
    page.goto(f"/jobs/{number}/")
    with page.expect_navigation():
        page.get_by_role("button", name=button).first.click()


def log_scan(page: Page, number: int, phase: str, codes: list[str]) -> None:
    page.goto(f"/jobs/{number}/scan/")
    for code in codes:
        page.locator("[name=code]").fill(code)
        page.get_by_role("button", name="Add code").last.click()
        page.locator("[name=listed], .listed, .codes").first.wait_for(state="attached")
        page.wait_for_timeout(400)
    page.locator(f"input[name=phase][value={phase}]").check(force=True)
    sound(page)
    send(page)


def add_unit(page: Page, job: Job) -> None:
    unit = job.vessel.units.first()
    if unit is None:
        page.goto(f"/vessels/{job.vessel_id}/engines/")
        page.get_by_role("link", name="Add a unit").first.click()
        sound(page)
        with page.expect_navigation():
            page.locator("form button[type=submit].btn-main, .thumb .btn-main").first.click()


def test_from_the_counter_to_a_report_that_a_stranger_verifies(cast: Cast, tablet: Tablet, tmp_path: Path) -> None:
    if not certificate_path().exists():
        make_certificate("Test shop")
    desk, tech, owner, manager = (tablet(person) for person in (cast.desk, cast.tech, cast.owner, cast.manager))
    number = open_the_job(desk)
    job = Job.objects.get(number=number)
    assert job.vessel.hin == "ZZT10555C919"
    move(desk, number, "uthorize")
    move(tech, number, "tart")
    job.refresh_from_db()
    assert job.state == "in-work"
    add_unit(tech, job)
    log_scan(tech, number, "arrival", ["110-0"])
    fault = Fault.objects.get(vessel=job.vessel)
    assert (fault.code, fault.state) == ("110-0", "active")
    tech.goto(f"/jobs/{number}/work/")
    tech.locator("[name=faults]").first.check(force=True)
    tech.locator("[name=text]").fill("Replaced the thermostat.")
    sound(tech)
    send(tech)
    tech.goto(f"/jobs/{number}/clear/")
    sound(tech)
    main_button(tech).click()
    tech.get_by_role("dialog").get_by_role("button").first.wait_for(timeout=3000)
    with tech.expect_navigation():
        tech.get_by_role("dialog").get_by_role("button", name="Clear").first.click()
    log_scan(tech, number, "sea-trial", [])
    fault.refresh_from_db()
    assert fault.state == "cleared"
    tech.goto(f"/jobs/{number}/findings/")
    assert "1 gone" in tech.locator("main").inner_text()
    sound(tech)
    word_and_sign(tech, owner, number)
    manager.goto("/insight/")
    sound(manager)
    verify_as_a_stranger(tablet(accept_downloads=True), tablet(cast.owner), number, tmp_path)


def word_and_sign(tech: Page, owner: Page, number: int) -> None:
    tech.goto(f"/jobs/{number}/report/")
    with tech.expect_navigation():
        tech.get_by_role("button", name="Start the report").click()
    tech.locator("[name=summary]").fill("Overheating found and mended; no codes on the sea trial.")
    sound(tech)
    with tech.expect_navigation():
        main_button(tech).click()
    owner.goto(f"/jobs/{number}/report/sign/")
    sound(owner)
    owner.locator("[name=password]").fill(PASSWORD)
    with owner.expect_navigation(timeout=30_000):
        main_button(owner).click()
    assert IssuedReport.objects.get().number == f"{number}-1"


def verify_as_a_stranger(stranger: Page, owner: Page, number: int, folder: Path) -> None:
    report = IssuedReport.objects.get()
    file = folder / "report.pdf"
    file.write_bytes(owner.request.get(f"/reports/{report.number}/pdf/").body())
    said = subprocess.run(["pdfsig", "-nocert", file], capture_output=True, text=True, check=False).stdout
    assert "Signature is Valid" in said
    assert "Total document signed" in said
    stranger.goto(f"/verify/{report.number}/{report.code}/")
    assert "authentic" in stranger.locator("main").inner_text().lower()
    sound(stranger)
    changed = folder / "changed.pdf"
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    changed.write_bytes(data)
    for path, word in ((file, "authentic"), (changed, "altered")):
        stranger.goto("/verify/")
        stranger.locator("input[type=file]").set_input_files(path)
        with stranger.expect_navigation():
            stranger.locator("form:has(input[type=file]) button[type=submit]").click()
        assert word in stranger.locator("main").inner_text().lower()
