"""What the pages do beyond HTML, tried in a browser under the house's security policy."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from django.template import engines
from playwright.sync_api import Browser, Page

from tests.browser.driving import wait_until_kept
from tests.look.desk import Desk

pytestmark = pytest.mark.browser
UUID = r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"

FORM = """
<form id="scan" method="post" action="/send" class="form" {attributes}>
  <input type="hidden" name="entry_id" data-entry-id value="">
  <div class="field"><label for="note">Note</label><textarea id="note" name="note"></textarea></div>
  <div class="field"><label for="pin">PIN</label><input type="password" id="pin" name="pin"></div>
  <label class="chip"><input class="visually-hidden" type="checkbox" name="codes" value="1"><b>P0217</b></label>
  <label class="chip"><input class="visually-hidden" type="checkbox" name="codes" value="2"><b>P0562</b></label>
  <div class="field"><label for="value">Value</label><div class="number"><input id="value" name="value" type="text">
    <select name="unit" aria-label="Unit" data-unit-for="value"><option data-factor="1" value="kPa">kPa</option>
    <option data-factor="6.894757" value="psi">psi</option></select></div>
    <output data-converted-for="value"></output></div>
</form>
<button class="btn btn-main" form="scan" type="submit" data-counts="[name=codes]:checked" data-none="Log no codes"
  data-one="Log 1 code" data-many="Log {{n}} codes">Log codes</button>
"""


def page_with(content: str, body: str = ' data-person="7"') -> str:
    source = (
        '{% extends "frames/plain.html" %}{% block title %}Desk{% endblock %}{% block heading %}Desk{% endblock %}'
        "{% block body_attributes %}" + body + "{% endblock %}{% block content %}" + content + "{% endblock %}"
    )
    return engines["django"].from_string(source).render({})


def form(attributes: str = "") -> str:
    return page_with(FORM.format(attributes=attributes))


@pytest.fixture
def desk() -> Iterator[Desk]:
    with Desk({"/done": page_with("<p>Done.</p>"), "/empty": page_with("<p>Elsewhere.</p>")}) as made:
        yield made


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 1024, "height": 768})
    made = context.new_page()
    complaints: list[str] = []
    made.on("pageerror", lambda error: complaints.append(str(error)))
    made.on("console", lambda said: complaints.append(said.text) if "Content Security Policy" in said.text else None)
    yield made
    context.close()
    assert complaints == []


def open_form(page: Page, desk: Desk, attributes: str = "") -> None:
    desk.pages["/form"] = form(attributes)
    page.goto(f"{desk.address}/form")


def test_an_entry_gets_an_id_of_its_own(page: Page, desk: Desk) -> None:
    open_form(page, desk)
    first = page.input_value("[name=entry_id]")
    assert re.fullmatch(UUID, first)
    page.reload()
    assert page.input_value("[name=entry_id]") != first


def test_a_form_is_sent_once(page: Page, desk: Desk) -> None:
    open_form(page, desk, "data-once")
    page.fill("#note", "twice?")
    page.evaluate("() => { const f = document.getElementById('scan'); f.requestSubmit(); f.requestSubmit(); }")
    page.wait_for_url("**/done")
    assert len(desk.posted) == 1
    page.go_back()
    page.click("text=Log no codes")
    page.wait_for_url("**/done")
    assert len(desk.posted) == 2


def send_words(page: Page, words: str | None) -> None:
    if words is not None:
        page.locator("#note").press("Control+A")
        page.keyboard.type(words)
    page.locator(".btn-main").click()
    page.wait_for_url("**/done")
    page.go_back()


def test_the_same_words_sent_again_are_the_same_entry_and_other_words_another(page: Page, desk: Desk) -> None:
    open_form(page, desk, "data-once")
    send_words(page, "first")
    send_words(page, None)
    send_words(page, "second")
    ids = [sent["entry_id"][0] for sent in desk.posted]
    assert len(ids) == 3
    assert ids[0] == ids[1]
    assert ids[2] != ids[1]


def test_the_button_counts_what_is_ticked(page: Page, desk: Desk) -> None:
    open_form(page, desk)
    button = page.locator(".btn-main")
    assert button.inner_text() == "Log no codes"
    page.click("text=P0217")
    assert button.inner_text() == "Log 1 code"
    page.click("text=P0562")
    assert button.inner_text() == "Log 2 codes"


def test_switching_the_unit_leaves_the_number_as_typed(page: Page, desk: Desk) -> None:
    open_form(page, desk)
    page.fill("#value", "43,5")
    page.select_option("[name=unit]", "psi")
    assert page.input_value("#value") == "43,5"
    assert page.locator("output").inner_text() == "= 299.9 kPa"
    page.fill("#value", "forty")
    assert page.locator("output").inner_text() == ""


def test_what_cannot_be_undone_is_asked_first(page: Page, desk: Desk) -> None:
    open_form(
        page, desk, 'data-once data-ask="This cannot be undone." data-ask-yes="Clear codes" data-ask-word="CLEAR"'
    )
    page.click(".btn-main")
    dialog = page.get_by_role("dialog")
    assert "This cannot be undone." in dialog.inner_text()
    assert dialog.get_by_role("button", name="Clear codes").is_disabled()
    page.keyboard.press("Escape")
    assert page.get_by_role("dialog").count() == 0
    assert desk.posted == []
    page.click(".btn-main")
    page.fill("#ask-word", "clear")
    page.get_by_role("dialog").get_by_role("button", name="Clear codes").click()
    page.wait_for_url("**/done")
    assert len(desk.posted) == 1


def test_asking_keeping_and_sending_once_work_together(page: Page, desk: Desk) -> None:
    open_form(page, desk, 'data-once data-keep="x" data-ask="Sure?" data-ask-yes="Yes, clear"')
    page.fill("#note", "all three")
    page.click(".btn-main")
    page.get_by_role("button", name="Yes, clear").click()
    page.wait_for_url("**/done")
    assert [sent["note"] for sent in desk.posted] == [["all three"]]


def test_a_half_filled_form_is_put_back(page: Page, desk: Desk) -> None:
    open_form(page, desk, 'data-keep="job-1048"')
    page.fill("#note", "Impeller had lost two vanes")
    page.fill("#pin", "1234")
    page.click("text=P0562")
    kept_id = page.input_value("[name=entry_id]")
    wait_until_kept(page, "Impeller had lost two vanes")
    wait_until_kept(page, '"codes"')
    page.goto(f"{desk.address}/empty")
    page.goto(f"{desk.address}/form")
    assert page.input_value("#note") == "Impeller had lost two vanes"
    assert page.is_checked("[name=codes][value='2']")
    assert page.input_value("#pin") == ""
    assert page.input_value("[name=entry_id]") == kept_id
    assert "was put back" in page.locator(".notice").inner_text()
    page.click("text=Start with an empty form")
    assert page.input_value("#note") == ""
    page.reload()
    assert page.locator(".notice").count() == 0


def test_a_draft_is_dropped_once_it_was_accepted(page: Page, desk: Desk) -> None:
    open_form(page, desk, 'data-keep="job-1048" data-once')
    page.fill("#note", "Sent")
    page.click(".btn-main")
    page.wait_for_url("**/done")
    page.goto(f"{desk.address}/form")
    assert page.input_value("#note") == ""
    assert len(desk.posted) == 1


def test_a_slow_answer_leaves_no_draft_behind(page: Page, desk: Desk) -> None:
    """A keystroke waits before it is kept: the page is still there when its time comes, and must not keep it then."""
    open_form(page, desk, 'data-keep="job-1048" data-once')
    desk.takes = 0.9
    page.locator("#note").press_sequentially("Sent")
    page.click(".btn-main")
    page.wait_for_url("**/done")
    page.goto(f"{desk.address}/form")
    assert page.input_value("#note") == ""
    assert len(desk.posted) == 1


def test_without_a_connection_nothing_is_sent_and_nothing_is_lost(page: Page, desk: Desk) -> None:
    open_form(page, desk, 'data-keep="job-1048" data-once')
    desk.answers_health = False
    page.fill("#note", "In the bilge")
    page.click(".btn-main")
    page.locator("#said", has_text="No connection").wait_for()
    assert desk.posted == []
    page.reload()
    assert page.input_value("#note") == "In the bilge"
    desk.answers_health = True
    page.click(".btn-main")
    page.wait_for_url("**/done")
    assert [sent["note"] for sent in desk.posted] == [["In the bilge"]]


def test_a_draft_belongs_to_one_person(page: Page, desk: Desk) -> None:
    open_form(page, desk, 'data-keep="job-1048"')
    page.fill("#note", "Mine")
    wait_until_kept(page, "Mine")
    desk.pages["/form"] = page_with(FORM.format(attributes='data-keep="job-1048"'), ' data-person="8"')
    page.goto(f"{desk.address}/form")
    assert page.input_value("#note") == ""


def test_a_page_with_problems_starts_at_them(page: Page, desk: Desk) -> None:
    problems = '<div class="problems" tabindex="-1" data-focus><h2>One thing to fix</h2></div>'
    desk.pages["/form"] = page_with(problems)
    page.goto(f"{desk.address}/form")
    assert page.evaluate("document.activeElement.className") == "problems"


def test_the_form_works_without_javascript(chromium, desk: Desk) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    desk.pages["/form"] = form('data-once data-keep="x" data-ask="Sure?"')
    page.goto(f"{desk.address}/form")
    page.fill("#note", "Plain")
    page.click("text=P0217")
    page.click("text=Log codes")
    page.wait_for_url("**/done")
    context.close()
    assert desk.posted[0]["note"] == ["Plain"]
    assert desk.posted[0]["codes"] == ["1"]
    assert desk.posted[0]["entry_id"] == [""]


@pytest.mark.parametrize(
    ("typed", "unit", "shown"),
    [("44", "psi", "= 303 kPa"), ("44.0", "psi", "= 303 kPa"), ("2", "kPa", "= 0.29 psi"), ("", "psi", "")],
)
def test_a_value_is_shown_in_the_other_unit_with_the_figures_it_deserves(
    page: Page, desk: Desk, typed: str, unit: str, shown: str
) -> None:
    open_form(page, desk)
    page.select_option("[name=unit]", unit)
    page.fill("#value", typed)
    assert page.locator("[data-converted-for]").inner_text() == shown
