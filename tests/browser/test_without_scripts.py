"""A job without JavaScript: every step is a form that posts and a page that follows, and nothing typed is lost."""

from __future__ import annotations

from decimal import Decimal

import pytest
from playwright.sync_api import Locator, Page, expect

from files.paper.signing import certificate_path, make_certificate
from findings.faults.models import Fault, Scan, Sighting
from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter, Reading
from findings.readings.parameters import seed_parameters
from findings.reports.models import IssuedReport, ReportDraft
from tests.browser.driving import Tablets, choose, main_button, said
from tests.cast import PASSWORD, Cast
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def touch(target: Locator, status: int = 200) -> None:
    """Touch it; a page follows, with this status."""
    with target.page.expect_navigation() as waited:
        target.tap()
    assert waited.value is not None
    assert waited.value.status == status, target.page.locator("main").inner_text()


def test_without_scripts(cast: Cast, tablets: Tablets) -> None:
    if not certificate_path().exists():
        make_certificate("Test shop")
    desk, tech, owner = (tablets.hand_out(java_script_enabled=False) for _ in range(3))
    sign_in(desk, "dora")
    number = take_the_boat_in(desk)
    sign_in(tech, "tomas")
    prepare(tech, cast)
    log_a_scan(tech, number)
    log_readings(tech, number)
    log_work_and_clear(tech, number)
    paste_the_last_scan(tech, number)
    word_the_report(tech, number)
    sign_in(owner, "orla")
    sign_it(owner, number)


def sign_in(page: Page, user: str) -> None:
    page.goto("/")
    page.locator("[name=login]").fill(user)
    page.locator("[name=password]").fill(PASSWORD)
    touch(page.locator("main button[type=submit]:visible"))
    expect(page.locator("h1")).to_have_text("Today")


def take_the_boat_in(desk: Page) -> int:
    """Find nothing, add all of it, forget the concern, be told, and mend it: what was typed is there all the time."""
    touch(desk.get_by_role("link", name="Open a job").first)
    desk.locator("[name=spot]").fill("B-9")
    desk.locator("#open-q").fill("nobody like this")
    touch(desk.get_by_role("button", name="Find", exact=True))
    expect(desk.locator("#found")).to_contain_text("No boat and no customer found")
    touch(desk.get_by_role("button", name="New customer and boat"))
    typed = {
        "customer-name": "Bram Oster", "customer-phone": "(555) 555-0144", "boat-name": "Gannet",
        "engine-0-maker": "Norrland", "engine-0-serial": "NL-40001", "engine-0-meter_shown": "88",
    }  # fmt: skip
    for name, words in typed.items():
        desk.locator(f"[name={name}]").fill(words)
    touch(desk.get_by_role("button", name="Another engine"))
    desk.locator("[name=engine-1-serial]").fill("NL-40002")
    touch(desk.get_by_role("button", name="Another concern"))
    touch(main_button(desk), status=422)
    problem = desk.locator(".problems")
    expect(problem).to_contain_text("Enter at least one concern")
    for name, words in {**typed, "spot": "B-9", "engine-1-serial": "NL-40002"}.items():
        expect(desk.locator(f"[name={name}]")).to_have_value(words)
    assert not Job.objects.exists()
    desk.locator("[name=concern-0-text]").fill("No power above 2000 rpm.")
    desk.locator("[name=concern-1-text]").fill("Bilge pump runs on.")
    choose(desk, "location", "slip")
    touch(main_button(desk))
    job = Job.objects.get()
    assert [line.concern for line in job.lines.all()] == ["No power above 2000 rpm.", "Bilge pump runs on."]
    assert list(job.vessel.engines.values_list("position", flat=True)) == ["port", "starboard"]
    touch(desk.get_by_role("link", name="Authorize"))
    desk.locator("[name=reason]").fill("By phone, 2:10 PM: find the cause.")
    touch(desk.get_by_role("button", name="Authorize"))
    return job.number


def prepare(tech: Page, cast: Cast) -> None:
    """A unit, a family with its limits, and the beginning of the work."""
    vessel = Job.objects.get().vessel
    port = vessel.engines.get(position="port")
    tech.goto(f"/vessels/{vessel.pk}/units/add/")
    tech.locator("[name=engine]").select_option(str(port.pk))
    touch(main_button(tech))
    tech.goto(f"/engines/{port.pk}/change/")
    tech.locator("[name=family]").select_option(str(cast.family.pk))
    touch(main_button(tech))
    seed_parameters()
    oil = Parameter.objects.get(name="Oil pressure")
    limit = NewLimit(parameter=oil, unit="psi", condition="warm, 2000 rpm", low=Decimal(44), high=Decimal(73))
    add_card(by=cast.tech, family=cast.family, title="Checks", document="Norrland manual (invented)", limits=[limit])
    tech.goto(f"/jobs/{Job.objects.get().number}/")
    touch(tech.get_by_role("button", name="Start work"))


def log_a_scan(tech: Page, number: int) -> None:
    """The list grows by pages; a wrong code stays in its field with a sentence beside it."""
    tech.goto(f"/jobs/{number}/findings/")
    touch(main_button(tech))
    for code in ("157-18", "SPN 94 FMI 1", "nonsense"):
        tech.locator("[name=code]").fill(code)
        touch(tech.locator(".entry-of-code button"), status=422 if code == "nonsense" else 200)
    expect(tech.locator("#id_code_error")).to_be_visible()
    expect(tech.locator("[name=code]")).to_have_value("nonsense")
    expect(tech.locator(".listed")).to_have_count(2)
    tech.locator("[name=code]").fill("")
    choose(tech, "row-1-status", "stored")
    tech.locator("[name=row-0-count]").fill("4")
    tech.locator("[name=hours]").fill("88")
    touch(main_button(tech))
    found = set(Sighting.objects.values_list("fault__code", "status", "count"))
    assert found == {("157-18", "active", 4), ("94-1", "stored", None)}


def log_readings(tech: Page, number: int) -> None:
    """A value that is none comes back with what was typed beside it; then it is judged on the findings page."""
    port = Job.objects.get().vessel.engines.get(position="port")
    tech.goto(f"/jobs/{number}/readings/?engine={port.pk}")
    field = tech.locator("[name^=limit-][name$=-value]")
    field.fill("forty")
    tech.locator("[name=instrument]").fill("gauge 3")
    touch(main_button(tech), status=422)
    expect(tech.locator(".problems")).to_be_visible()
    expect(field).to_have_value("forty")
    expect(tech.locator("[name=instrument]")).to_have_value("gauge 3")
    assert not Reading.objects.exists()
    field.fill("40")
    touch(main_button(tech))
    assert "1 reading logged" in said(tech)
    reading = Reading.objects.get()
    assert (reading.value, reading.unit, reading.verdict) == (Decimal(40), "psi", "out")


def log_work_and_clear(tech: Page, number: int) -> None:
    tech.goto(f"/jobs/{number}/work/")
    for tick in tech.locator("[name=faults]").all():
        tick.check()
    tech.locator("[name=text]").fill("New fuel filter, sender plug cleaned.")
    touch(main_button(tech))
    touch(tech.get_by_role("link", name="Codes cleared"))
    touch(main_button(tech))
    assert set(Fault.objects.values_list("state", flat=True)) == {"cleared"}


def paste_the_last_scan(tech: Page, number: int) -> None:
    """The instrument's text is read back line by line before it is logged."""
    tech.goto(f"/jobs/{number}/paste/?phase=after-repair")
    tech.locator("[name=pasted]").fill("Read-out of unit 0\nSPN 94 FMI 1 stored\n")
    choose(tech, "phase", "after-repair")
    touch(main_button(tech))
    expect(tech.locator("#read-title")).to_be_visible()
    expect(tech.locator("main")).to_contain_text("Read-out of unit 0")
    tech.locator("[name=code-0-take]").set_checked(True, force=True)  # whose unit 0 is, the text does not say
    touch(main_button(tech), status=422)
    expect(tech.locator(".problems")).to_contain_text("Say whether this is all that the unit listed")
    choose(tech, "extent", "all")
    touch(main_button(tech))
    scan = Scan.objects.get(phase="after-repair")
    assert scan.raw.splitlines() == ["Read-out of unit 0", "SPN 94 FMI 1 stored"]
    assert dict(Fault.objects.values_list("code", "state")) == {"157-18": "cleared", "94-1": "not fixed yet"}
    expect(tech.locator("table.compare .tag", has_text="gone")).to_have_count(1)


def word_the_report(tech: Page, number: int) -> None:
    """Reviewing without a summary is refused; the words that were there are still there."""
    tech.goto(f"/jobs/{number}/report/")
    touch(tech.get_by_role("button", name="Start the report"))
    tech.locator("[name=watch]").fill("Fuel pressure sender: it came back once.")
    touch(main_button(tech), status=422)
    expect(tech.locator(".problems")).to_be_visible()
    expect(tech.locator("[name=watch]")).to_have_value("Fuel pressure sender: it came back once.")
    tech.locator("[name=summary]").fill("Filter replaced; one code is back.")
    touch(main_button(tech))
    draft = ReportDraft.objects.get()
    assert (draft.state, draft.watch) == ("reviewed", "Fuel pressure sender: it came back once.")


def sign_it(owner: Page, number: int) -> None:
    owner.goto(f"/jobs/{number}/report/")
    touch(main_button(owner))
    owner.locator("[name=password]").fill(PASSWORD)
    owner.set_default_timeout(30_000)
    touch(main_button(owner))
    touch(owner.get_by_role("link", name=f"{number}-1"))
    assert IssuedReport.objects.get().number == f"{number}-1"
    expect(owner.locator("main")).to_contain_text("Issued and valid")
