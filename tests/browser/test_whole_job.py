"""The whole job by four people on tablets: from the counter to a signed report that a stranger verifies."""

from __future__ import annotations

import subprocess
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from files.paper.signing import certificate_path, make_certificate
from findings.faults.models import Fault, Scan
from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter, Reading
from findings.readings.parameters import seed_parameters
from findings.reports.models import IssuedReport
from tests.browser.driving import Tablets, choose, go, main_button, said, touch, wait_for_count
from tests.cast import PASSWORD, Cast
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

BOAT = "Sea Ember"
HIN = "ZZT10555C919"


@pytest.fixture
def card(cast: Cast) -> None:
    """What the engine's family is measured by."""
    seed_parameters()
    add_card(
        by=cast.manager,
        family=cast.family,
        title="Running checks",
        document="Norrland D6T workshop manual, 2nd edition, table 4 (invented)",
        limits=[
            NewLimit(
                parameter=Parameter.objects.get(name="Coolant temperature"),
                unit="degF",
                condition="warm, 2000 rpm",
                low=Decimal(165),
                high=Decimal(194),
            )
        ],
    )


@pytest.mark.usefixtures("card")
def test_from_the_counter_to_a_report_that_a_stranger_verifies(cast: Cast, tablets: Tablets, tmp_path: Path) -> None:
    if not certificate_path().exists():
        make_certificate("Test shop")
    desk, tech, owner, manager = (tablets.hand_out(one) for one in (cast.desk, cast.tech, cast.owner, cast.manager))
    number = take_the_boat_in(desk)
    authorize(desk)
    begin_work(tech, number)
    fit_the_engine_out(tech, cast)
    log_the_arrival(tech, number)
    measure(tech, "arrival", "203", "out")
    write_cause_and_correction(tech, number)
    log_the_work(tech, number)
    clear_the_codes(tech)
    log_no_codes(tech, "after-repair")
    go_to_sea(tech)
    see_that_it_is_gone(tech)
    word_the_report(tech, number)
    sign_it(owner, number)
    close_the_job(desk, number)
    look_for_what_holds(manager, number)
    report = IssuedReport.objects.get()
    file = download(owner, tmp_path)
    check_the_signature(file)
    verify_by_number(tablets.hand_out(), report)
    verify_by_file(tablets.hand_out(), file, tmp_path / "changed.pdf")


# --- at the counter ---


def take_the_boat_in(desk: Page) -> int:
    """A customer, a boat and an engine that nobody has seen before, with the job, on one screen."""
    go(desk, "/")
    touch(desk.get_by_role("link", name="Open a job").first)
    desk.locator("#open-q").fill("calloway")
    desk.locator(".nothing", has_text="No boat and no customer found").wait_for()
    desk.get_by_role("button", name="New customer and boat").tap()
    promised = timezone.localdate() + timedelta(days=3)
    for name, words in {
        "customer-name": "Ines Calloway", "customer-phone": "(555) 555-0177", "customer-email": "ines@calloway.example",
        "boat-name": BOAT, "boat-maker": "Tidewright", "boat-model": "28 Cutter", "boat-hin": HIN,
        "engine-0-maker": "Norrland", "engine-0-model": "D6T-370", "engine-0-serial": "NL-30001",
        "engine-0-meter_shown": "412,5", "concern-0-text": "Hot at cruise, she slowed down by herself.",
        "spot": "C-4", "promised_on": promised.isoformat(), "keys": "hook 12", "contents": "Life vests, two fenders",
        "condition": "Scratch on the port quarter",
    }.items():  # fmt: skip
        desk.locator(f"[name={name}]").fill(words)
    desk.locator("[name=boat-kind]").select_option("inboard")
    choose(desk, "engine-0-fuel", "diesel")
    choose(desk, "location", "slip")
    touch(main_button(desk))
    job = Job.objects.get()
    assert f"Job {job.number} is open" in said(desk)
    assert (job.vessel.hin, job.vessel.owner.name, job.spot) == (HIN, "Ines Calloway", "C-4")
    assert job.vessel.engines.get().serial == "NL-30001"
    assert job.lines.get().concern == "Hot at cruise, she slowed down by herself."
    go(desk, f"/jobs/{job.number}/tag/")
    expect(desk.locator("main")).to_contain_text(BOAT)
    return job.number


def authorize(desk: Page) -> None:
    touch(desk.get_by_role("link", name=f"Job {Job.objects.get().number}"))
    touch(desk.get_by_role("link", name="Authorize"))
    desk.locator("[name=reason]").fill("By phone, 2:10 PM: find the cause.")
    touch(desk.get_by_role("button", name="Authorize"))
    assert Job.objects.get().state == "authorized"


def close_the_job(desk: Page, number: int) -> None:
    go(desk, f"/jobs/{number}/")
    touch(desk.get_by_role("button", name="Mark ready"))
    touch(desk.get_by_role("button", name="Close the job"))
    assert Job.objects.get().state == "closed"


# --- in the engine room ---


def begin_work(tech: Page, number: int) -> None:
    """The technician finds the boat by its name and begins."""
    go(tech, "/")
    tech.locator("#search-q").fill("ember")
    tech.keyboard.press("Enter")
    tech.wait_for_url("**/search/**")
    touch(tech.locator("main").get_by_role("link", name=str(number)).first)
    touch(tech.get_by_role("button", name="Start work"))
    assert Job.objects.get().state == "in-work"


def fit_the_engine_out(tech: Page, cast: Cast) -> None:
    """The family, by which it is measured, and the unit, which gives the codes."""
    vessel = Job.objects.get().vessel
    go(tech, f"/vessels/{vessel.pk}/engines/")
    touch(tech.get_by_role("link", name="Change").first)
    tech.locator("[name=family]").select_option(str(cast.family.pk))
    touch(main_button(tech))
    touch(tech.get_by_role("link", name="Add a unit").first)
    tech.locator("[name=engine]").select_option(str(vessel.engines.get().pk))
    tech.locator("[name=address]").fill("0")
    tech.locator("[name=serial]").fill("U30001")
    touch(main_button(tech))
    assert vessel.units.get().engine == vessel.engines.get()


def add_code(tech: Page, code: str, meaning: str, status: str, count: str = "") -> None:
    """Type a code, read what it is, put it on the list."""
    tech.locator("#id_code").press_sequentially(code)
    tech.locator(".recognized", has_text=meaning).wait_for()
    choose(tech, "status", status)
    tech.locator("#id_count").fill(count)
    tech.locator(".entry-of-code").get_by_role("button", name="Add code").tap()


def log_the_arrival(tech: Page, number: int) -> None:
    go(tech, f"/jobs/{number}/findings/")
    touch(main_button(tech))
    expect(tech.locator("input[name=phase][value=arrival]")).to_be_checked()
    add_code(tech, "110-0", "Coolant", "active", "3")
    wait_for_count(tech, "Log 1 code")
    add_code(tech, "SPN 100 FMI 1", "Oil", "stored")
    wait_for_count(tech, "Log 2 codes")
    tech.locator("[name=hours]").fill("412.5")
    touch(main_button(tech))
    assert "2 codes" in said(tech)
    assert dict(Fault.objects.values_list("code", "state")) == {"110-0": "active", "100-1": "stored"}


def measure(tech: Page, phase: str, value: str, verdict: str) -> None:
    """A value is judged while it is typed, before it is logged; begins and ends with the findings."""
    touch(tech.get_by_role("link", name="Log readings"))
    choose(tech, "phase", phase)
    field = tech.locator("[name^=limit-][name$=-value]")
    field.press_sequentially(value)
    tech.locator(".judged svg").wait_for()
    assert verdict in tech.locator(".judged").inner_html()
    touch(main_button(tech))
    assert Reading.objects.latest("entry__position").verdict == verdict


def write_cause_and_correction(tech: Page, number: int) -> None:
    go(tech, f"/jobs/{number}/lines/")
    touch(tech.get_by_role("link", name="Write cause and correction"))
    tech.locator("[name=cause]").fill("Thermostat stuck half open; sender wire chafed.")
    tech.locator("[name=correction]").fill("Replaced the thermostat, new wire to the oil pressure sender.")
    touch(main_button(tech))
    assert "Line 1 is saved" in said(tech)


def log_the_work(tech: Page, number: int) -> None:
    go(tech, f"/jobs/{number}/findings/")
    touch(tech.get_by_role("link", name="Work done"))
    for tick in tech.locator("label.tick", has=tech.locator("[name=faults]")).all():
        if not tick.locator("input").is_checked():
            tick.tap()
    tech.locator("[name=text]").fill("Replaced the thermostat and the chafed wire.")
    touch(main_button(tech))


def clear_the_codes(tech: Page) -> None:
    touch(tech.get_by_role("link", name="Codes cleared"))
    main_button(tech).tap()
    touch(tech.get_by_role("dialog").get_by_role("button", name="Log the clear"))
    assert set(Fault.objects.values_list("state", flat=True)) == {"cleared"}


def log_no_codes(tech: Page, phase: str) -> None:
    """A complete scan that lists nothing, which is what proves a repair. The page knows when in the job it is."""
    touch(main_button(tech))
    expect(tech.locator(f"input[name=phase][value={phase}]")).to_be_checked()
    touch(tech.get_by_role("button", name="No codes found"))
    scan = Scan.objects.get(phase=phase)
    assert scan.is_complete
    assert not scan.sightings.exists()


def go_to_sea(tech: Page) -> None:
    touch(tech.locator(".tabs").get_by_role("link", name="Overview"))
    touch(tech.get_by_role("button", name="Go to sea trial"))
    touch(tech.locator(".tabs").get_by_role("link", name="Findings"))
    log_no_codes(tech, "sea-trial")
    measure(tech, "sea-trial", "181", "in range")


def see_that_it_is_gone(tech: Page) -> None:
    """Before and after side by side; nothing has disappeared."""
    table = tech.locator("table.compare")
    expect(table.locator("tbody tr")).to_have_count(2)
    expect(table.locator(".tag", has_text="gone")).to_have_count(2)
    go(tech, f"/vessels/{Job.objects.get().vessel_id}/faults/")
    go(tech, f"/faults/{Fault.objects.get(code='110-0').pk}/")
    expect(tech.locator("main")).to_contain_text("Replaced the thermostat and the chafed wire.")
    assert set(Fault.objects.values_list("state", flat=True)) == {"cleared"}
    go(tech, f"/vessels/{Job.objects.get().vessel_id}/log/")


# --- the report ---


def word_the_report(tech: Page, number: int) -> None:
    go(tech, f"/jobs/{number}/report/")
    touch(tech.get_by_role("button", name="Start the report"))
    tech.locator("[name=summary]").fill("Overheating found and mended; no codes on the sea trial.")
    tech.locator("[name=soon]").fill("Replace the second thermostat at the next haul-out.")
    touch(tech.get_by_role("button", name="Save the text"))
    touch(tech.get_by_role("link", name="Preview the saved draft"))
    expect(tech.locator("article.rp")).to_contain_text("Overheating found and mended")
    touch(tech.get_by_role("link", name="Back to the text"))
    touch(main_button(tech))
    assert "Reviewed" in said(tech)
    expect(tech.get_by_role("link", name="Read and sign")).to_have_count(0)


def sign_it(owner: Page, number: int) -> None:
    """The owner finds it on Today, reads it and signs; a wrong password is told and loses nothing."""
    go(owner, "/")
    touch(owner.get_by_role("link", name=BOAT).first)
    touch(main_button(owner))
    owner.locator("[name=password]").fill("not-the-password")
    touch(main_button(owner))
    expect(owner.locator(".problems")).to_be_visible()
    assert not IssuedReport.objects.exists()
    owner.locator("[name=password]").fill(PASSWORD)
    owner.set_default_timeout(30_000)
    touch(main_button(owner))
    owner.get_by_role("link", name=f"{number}-1").wait_for()
    touch(owner.get_by_role("link", name=f"{number}-1"))
    expect(owner.locator("main")).to_contain_text("Issued and valid")


def download(owner: Page, folder: Path) -> Path:
    with owner.expect_download() as waited:
        owner.get_by_role("link", name="Download the signed PDF").tap()
    file = folder / "report.pdf"
    waited.value.save_as(file)
    return file


def check_the_signature(file: Path) -> None:
    told = subprocess.run(["pdfsig", "-nocert", file], capture_output=True, text=True, check=False).stdout
    assert "Signature is Valid" in told
    assert "Total document signed" in told


def look_for_what_holds(manager: Page, number: int) -> None:
    go(manager, "/")
    touch(manager.get_by_role("link", name="Insight").first)
    row = manager.locator("tr", has=manager.get_by_role("link", name="SPN 110 FMI 0"))
    expect(row.locator("[data-label=Repairs]")).to_have_text("1")
    expect(row.locator("[data-label='Came back']")).to_have_text("0")
    touch(row.get_by_role("link", name="SPN 110 FMI 0"))
    expect(manager.locator("main")).to_contain_text("Replaced the thermostat")
    go(manager, f"/jobs/{number}/log/")


# --- a stranger with the paper ---


def verify_by_number(stranger: Page, report: IssuedReport) -> None:
    go(stranger, "/verify/")
    stranger.locator("[name=number]").fill(report.number)
    stranger.locator("[name=code]").fill(report.code.lower())
    touch(stranger.get_by_role("button", name="Check the number"))
    expect(stranger.locator("h1")).to_have_text("Authentic")
    expect(stranger.locator("main")).not_to_contain_text("Calloway")
    expect(stranger.locator("main")).not_to_contain_text("555-0177")
    go(stranger, "/verify/")
    stranger.locator("[name=number]").fill(report.number)
    stranger.locator("[name=code]").fill("ZZZZ9999")
    touch(stranger.get_by_role("button", name="Check the number"))
    expect(stranger.locator("h1")).not_to_have_text("Authentic")


def verify_by_file(stranger: Page, file: Path, changed: Path) -> None:
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    changed.write_bytes(data)
    for path, heading in ((file, "Authentic"), (changed, "Altered")):
        go(stranger, "/verify/")
        stranger.locator("input[type=file]").set_input_files(path)
        touch(stranger.get_by_role("button", name="Check the file"))
        expect(stranger.locator("h1")).to_have_text(heading)
