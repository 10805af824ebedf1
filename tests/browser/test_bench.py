"""The Bench on a tablet: every tool with its result, by touch, with the keys alone, and without JavaScript."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import Page, expect

from findings.bench.catalog import all_tools
from findings.readings.models import Reading
from tests.browser.driving import AXE, PHONE, TABLET, Tablets, main_button, sound, touch
from tests.findings.bench.world import BenchWorld, make_bench_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

AXE_FINDS = """async () => {
    const rules = {"color-contrast": {enabled: false}};  // slow; the colors are those of the pages looked at whole
    const found = await axe.run(".bench", {resultTypes: ["violations"], rules});
    return found.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).join(" ")}`);
}"""
HANGS_OVER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
CUT_OFF = """() => [...document.querySelectorAll(".bench input:not([type=hidden], [type=radio])")]
    .filter((input) => input.scrollWidth > input.clientWidth + 1).map((input) => `${input.name}: ${input.value}`)"""


@pytest.fixture
def world(transactional_db: None) -> BenchWorld:
    cache.clear()
    return make_bench_world()


def address(world: BenchWorld, slug: str) -> str:
    return reverse("findings:bench_tool", args=[world.job.number, slug])


def test_every_tool_with_its_result_at_both_sizes(world: BenchWorld, tablets: Tablets) -> None:
    """The frame around it is looked at with every other page; here it is what the tools themselves show."""
    page = tablets.hand_out(world.cast.tech)
    wrong = []
    for tool in all_tools().values():
        page.set_viewport_size(TABLET)
        query = urlencode({"work-out": 1, **world.example(tool)})
        answer = page.goto(f"{address(world, tool.slug)}?{query}", wait_until="domcontentloaded")
        assert answer is not None
        if answer.status != 200:
            wrong.append(f"{tool.slug}: {answer.status} {page.locator('.problems').inner_text()}")
            continue
        page.evaluate(AXE.axe_script)
        wrong += [f"{tool.slug}: {one}" for one in page.evaluate(AXE_FINDS)]
        for size in (TABLET, PHONE):
            page.set_viewport_size(size)
            over = page.evaluate(HANGS_OVER)
            if over > 0:
                wrong.append(f"{tool.slug} hangs over by {over} px at {size['width']}")
            wrong += [f"{tool.slug} at {size['width']} cuts off {one}" for one in page.evaluate(CUT_OFF)]
    assert not wrong, "\n".join(wrong)


def fill(page: Page, **texts: str) -> None:
    for name, text in texts.items():
        page.locator(f"#bench-form [name={name}]").fill(text)


def test_work_it_out_and_log_it_by_touch(world: BenchWorld, tablets: Tablets) -> None:
    page = tablets.hand_out(world.cast.tech)
    page.goto(reverse("workorders:job", args=[world.job.number]))
    touch(page.get_by_role("link", name="Bench"))
    touch(page.get_by_role("link", name="Resistance from voltage drop"))
    page.evaluate("document.body.dataset.same = 'yes'")
    fill(page, drop="2.0", current="much")
    main_button(page).tap()
    expect(page.locator(".problems")).to_be_focused()
    expect(page.locator("#bench-form [name=current]")).to_have_value("much")
    fill(page, current="200 A")
    main_button(page).tap()
    result = page.locator("#result")
    expect(result).to_be_focused()
    expect(result).to_contain_text("10 mΩ")
    expect(page.locator("#bench-form [name=current]")).to_have_value("200")
    assert page.evaluate("document.body.dataset.same") == "yes", "the page was loaded anew instead of exchanged"
    sound(page)
    assert "current=200" in page.url
    page.get_by_text("After repair", exact=True).tap()  # a clear without work: the page does not guess
    touch(main_button(page))
    expect(page.locator(".messages")).to_contain_text("Circuit resistance 10 mΩ logged")
    page.go_back()
    expect(page.locator("#result")).to_contain_text("10 mΩ")
    assert Reading.objects.get(parameter__name="Circuit resistance").worked_from["tool"] == "resistance-from-drop"


def test_what_was_typed_stays_when_the_server_is_out_of_reach(world: BenchWorld, tablets: Tablets) -> None:
    page = tablets.hand_out(world.cast.tech)
    page.goto(address(world, "resistance-from-drop"))
    fill(page, drop="2.0", current="200")
    page.context.set_offline(True)
    main_button(page).tap()
    expect(page.locator("#said")).to_contain_text("No connection")
    expect(page.locator("#bench-form [name=current]")).to_have_value("200")
    page.context.set_offline(False)
    main_button(page).tap()
    expect(page.locator("#result")).to_contain_text("10 mΩ")
    tablets.complaints.clear()  # the browser complains of the lost connection


def test_without_scripts(world: BenchWorld, tablets: Tablets) -> None:
    page = tablets.hand_out(world.cast.tech, java_script_enabled=False)
    page.goto(address(world, "tank-fills"))
    rows = page.locator("[name^=fills-][name$=-level]")
    before = rows.count()
    page.locator("#bench-form [name=fills-0-level]").fill("4 in")
    page.get_by_role("button", name="More rows").first.tap()
    expect(rows).to_have_count(before + 4)
    expect(page.locator("#bench-form [name=fills-0-level]")).to_have_value("4 in")
    page.goto(address(world, "resistance-from-drop"))
    fill(page, drop="2.0", current="200")
    main_button(page).tap()
    expect(page.locator("#result")).to_contain_text("10 mΩ")
    page.get_by_text("After repair", exact=True).tap()
    main_button(page).tap()
    expect(page.locator(".messages")).to_contain_text("Circuit resistance 10 mΩ logged")
    assert Reading.objects.filter(parameter__name="Circuit resistance").count() == 1
