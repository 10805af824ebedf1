"""The sheet of readings on a tablet and by keyboard: Enter goes on, values are judged as typed, rows are found."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.parameters import seed_parameters
from tests.browser.driving import PHONE, TABLET, Tablets, choose, main_button, problems
from workorders.actions import open_job

if TYPE_CHECKING:
    from tests.cast import Cast

pytestmark = pytest.mark.browser


@pytest.fixture
def sheet(tablets: Tablets, cast: Cast) -> Page:
    """The sheet of the port engine: a card with two limits, and a value of the last visit."""
    seed_parameters()
    oil, volts = (Parameter.objects.get(name=name) for name in ("Oil pressure", "Charging voltage"))
    add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual, page 4",
        limits=[
            NewLimit(parameter=oil, unit="psi", low=Decimal(40), high=Decimal(70)),
            NewLimit(parameter=volts, unit="V", low=Decimal("13.5"), high=Decimal("14.7")),
        ],
    )  # fmt: skip
    log_reading(by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=oil, value=Decimal(52), unit="psi")
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"])
    page = tablets.hand_out(cast.tech)
    page.goto(reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}")
    return page


def focused(page: Page) -> str:
    return str(page.evaluate("document.activeElement.name || document.activeElement.textContent.trim()"))


def test_enter_goes_on_and_rows_are_found_while_the_judgment_stands_beside(sheet: Page, cast: Cast) -> None:
    first, second = (
        f"limit-{one}" for one in cast.family.cards.get().limits.order_by("pk").values_list("pk", flat=True)
    )
    choose(sheet, "phase", "arrival")
    row = sheet.locator(f"#row-{first}")
    expect(row).to_contain_text("40 to 70 psi")
    expect(row.get_by_role("link")).to_contain_text("read 52 psi")
    sheet.locator(f"[name='{first}-value']").focus()
    sheet.keyboard.type("38")
    expect(row.locator(".judged svg")).to_be_visible()
    expect(row.locator(".judged")).to_contain_text("2 psi below")
    sheet.keyboard.press("Enter")
    assert focused(sheet) == f"{second}-value"
    sheet.keyboard.type("14.1")
    sheet.keyboard.press("Enter")
    assert focused(sheet) == "find"
    sheet.keyboard.type("cool te 180")
    expect(sheet.locator("#found .btn").first).to_have_text("Coolant temperature 180")
    sheet.keyboard.press("Enter")
    line = f"line-{Parameter.objects.get(name='Coolant temperature').pk}"
    expect(sheet.locator(f"[name='{line}-value']")).to_have_value("180")
    expect(sheet.locator("#id_find")).to_be_focused()
    assert "line=" in sheet.url
    expect(sheet.locator(f"[name='{first}-value']")).to_have_value("38")
    expect(row.locator(".judged")).to_contain_text("2 psi below")
    sheet.keyboard.type("neutral")
    sheet.keyboard.press("Enter")
    switch = f"line-{Parameter.objects.get(name='Neutral switch').pk}"
    sheet.locator("label", has=sheet.locator(f"[name='{switch}-value'][value='on']")).tap()
    assert problems(sheet, TABLET, PHONE) == []
    sheet.locator("#id_find").focus()
    sheet.keyboard.press("Enter")
    expect(main_button(sheet)).to_be_focused()
    sheet.keyboard.press("Enter")
    expect(sheet.locator(".messages")).to_contain_text("4 readings logged.")
    kept = {one.parameter.name: (one.value, one.verdict) for one in Reading.objects.filter(entry__job__isnull=False)}
    assert kept == {
        "Oil pressure": (38, "out"), "Charging voltage": (Decimal("14.1"), "in range"),
        "Coolant temperature": (180, "no limits"), "Neutral switch": (1, "no limits"),
    }  # fmt: skip


def test_a_condition_that_comes_late_asks_and_a_file_goes_where_a_paste_goes(
    sheet: Page, cast: Cast, tmp_path: Path
) -> None:
    choose(sheet, "phase", "arrival")
    sheet.locator(".cell-value input").first.fill("50")
    sheet.locator(".sheet-conditions summary").tap()
    sheet.get_by_role("button", name="Idle, warm").tap()
    asked = sheet.get_by_role("button", name="They were read under “Idle, warm”")
    expect(asked).to_be_visible()
    expect(sheet.locator(".cell-value input").first).to_have_value("50")
    assert problems(sheet, TABLET, PHONE) == []
    asked.tap()
    expect(sheet.get_by_text("Conditions in columns")).to_be_visible()
    file = tmp_path / "values.csv"
    file.write_text("Charging voltage,14.2,V\nWhat,4,\n", encoding="utf-8")
    sheet.get_by_text("Paste values, or take them from a file").tap()
    sheet.set_input_files("#id_paste-file", file)
    sheet.get_by_role("button", name="Put it on the sheet").tap()
    expect(sheet.locator("#id_paste")).to_have_value("What,4,")
    assert problems(sheet, TABLET, PHONE) == []
    sheet.locator("#id_paste").fill("")
    main_button(sheet).tap()
    expect(sheet.locator(".messages")).to_contain_text("2 readings logged.")
    kept = {
        (one.parameter.name, one.condition, one.value)
        for one in Reading.objects.filter(entry__job__isnull=False).select_related("parameter")
    }
    assert kept == {
        ("Oil pressure", "Idle, warm", Decimal(50)),
        ("Charging voltage", "Idle, warm", Decimal("14.2")),
    }


def test_both_engines_and_several_conditions_stand_side_by_side(sheet: Page, cast: Cast) -> None:
    choose(sheet, "phase", "arrival")
    sheet.get_by_role("button", name="Starboard beside it").tap()
    expect(sheet.locator(".sheet-head")).to_contain_text("Starboard")
    sheet.locator(".sheet-conditions summary").tap()
    sheet.get_by_role("button", name="Idle, warm").tap()
    expect(sheet.locator(".sheet-head")).to_contain_text("Port, Idle, warm")
    sheet.get_by_role("button", name="Wide open").tap()
    expect(sheet.locator(".sheet-head b")).to_have_count(5)
    cells = sheet.locator(".cell-value input")
    expect(cells).to_have_count(8)
    cells.nth(0).fill("50")
    cells.nth(3).fill("30")
    expect(sheet.locator(".judged-words.is-out")).to_contain_text("10 psi below")
    sheet.get_by_role("button", name="Starboard beside it").tap()
    expect(sheet.locator(".sheet-said")).to_contain_text("so that nothing is lost")
    expect(cells.nth(3)).to_have_value("30")
    assert problems(sheet, TABLET, PHONE) == []
    main_button(sheet).tap()
    expect(sheet.locator(".messages")).to_contain_text("2 readings logged.")
    kept = {
        (one.entry.engine_id, one.condition): (one.value, one.verdict)
        for one in Reading.objects.filter(entry__job__isnull=False)
    }
    assert kept == {
        (cast.port.pk, "Idle, warm"): (50, "in range"), (cast.starboard.pk, "Wide open"): (30, "out"),
    }  # fmt: skip


def test_rows_are_saved_and_values_pasted_with_names_that_are_asked_once(sheet: Page, cast: Cast) -> None:
    sheet.get_by_text("Paste values").tap()
    sheet.locator("#id_paste").fill("Oil pressure 38 psi\nECT 181 °F\nlast service in May")
    sheet.get_by_role("button", name="Put it on the sheet").tap()
    expect(sheet.locator(".sheet-said")).to_contain_text(
        "1 line put on the sheet, 2 left below. Nothing is logged yet."
    )
    expect(sheet.locator("#sheet-rows .judged").first).to_contain_text("2 psi below")
    assert problems(sheet, TABLET, PHONE) == []
    sheet.locator("#id_as-0").select_option(label="Coolant temperature")
    sheet.get_by_role("button", name="Put it on the sheet").tap()
    line = f"line-{Parameter.objects.get(name='Coolant temperature').pk}"
    expect(sheet.locator(f"[name='{line}-value']")).to_have_value("181 °F")
    expect(sheet.locator("#id_paste")).to_have_value("last service in May")
    sheet.get_by_text("Save these rows for").tap()
    sheet.locator("#id_sheet-name").fill("Warm run")
    sheet.keyboard.press("Enter")
    chosen = sheet.get_by_role("button", name="Warm run")
    expect(chosen).to_have_attribute("aria-pressed", "true")
    expect(sheet.locator(f"[name='{line}-value']")).to_have_value("181 °F")
    assert problems(sheet, TABLET, PHONE) == []
    choose(sheet, "phase", "arrival")
    sheet.locator("#id_paste").fill("")
    main_button(sheet).tap()
    expect(sheet.locator(".messages")).to_contain_text("2 readings logged.")
    sheet.goto(reverse("findings:sheets"))
    assert problems(sheet, TABLET, PHONE) == []
    sheet.get_by_role("link", name="Warm run").tap()
    expect(sheet.locator("#id_rows")).to_have_value("Oil pressure, psi\nCharging voltage, V\nCoolant temperature, °F")
    assert problems(sheet, TABLET, PHONE) == []
