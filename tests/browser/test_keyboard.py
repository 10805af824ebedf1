"""A returning boat is taken in and its codes are logged with the keys alone, and the focus is always to be seen."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import ElementHandle, Locator, Page, expect

from findings.faults.models import Fault, Scan, Sighting
from tests.browser.driving import Tablets, said, sound, wait_for_count
from tests.cast import PASSWORD, Cast
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# What a person who tabs along sees of the element that has the focus. A choice that is pressed in is drawn by its
# label, so a ring around that counts as well; the button in a date field gets its ring from the browser.
SEEN = """(wanted) => {
    const one = document.activeElement, isThere = one === wanted;
    if (one === document.body) return {name: "the page"};
    const box = one.getBoundingClientRect();
    const around = [one, one.closest("label"), one.parentElement].filter(Boolean);
    const picks = one.matches("[type=date], [type=datetime-local]") && !one.matches(":focus");
    const ring = picks || around.some((each) => {
        const style = getComputedStyle(each);
        return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
    });
    const place = one.matches("input[type=radio], input[type=checkbox]") ? one.closest("label") ?? one : one;
    const {left, top, width, height} = place.getBoundingClientRect();
    const points = [[0.5, 0.5], [0.1, 0.5], [0.9, 0.5], [0.5, 0.2], [0.5, 0.8]];
    const open = points.some(([x, y]) => {
        const hit = document.elementFromPoint(left + width * x, top + height * y);
        return hit && (place.contains(hit) || hit.contains(place) && hit.closest("label") === place);
    });
    return {name: `${one.tagName} ${one.id || one.name || one.textContent.trim()}`.slice(0, 80), ring, open, isThere};
}"""


def look_at_the_focus(page: Page, wanted: ElementHandle | None = None) -> bool:
    """The focus has a ring, and nothing lies over it; whether it is where it is wanted."""
    seen = page.evaluate(SEEN, wanted)
    if seen["name"] == "the page":
        return False
    assert seen["ring"], f"{page.url}: no ring around {seen['name']}"
    assert seen["open"], f"{page.url}: {seen['name']} has the focus and cannot be seen"
    return bool(seen["isThere"])


def tab_to(target: Locator, most: int = 70) -> None:
    """Press Tab until the target has the focus."""
    page = target.page
    handle = target.element_handle()
    if page.evaluate("wanted => document.activeElement === wanted", handle):
        return
    for _ in range(most):
        page.keyboard.press("Tab")
        if look_at_the_focus(page, handle):
            return
    raise AssertionError(f"{page.url}: not reached by Tab: {target}")


def press(target: Locator, key: str = "Enter") -> None:
    """Go to it, press it, and look at the page that follows."""
    tab_to(target)
    with target.page.expect_navigation():
        target.page.keyboard.press(key)
    sound(target.page)


def test_with_the_keys_alone(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(has_touch=False)
    log_in(page)
    take_the_boat_in(page)
    move_on(page)
    log_a_scan(page)
    clear_it(page)


def log_in(page: Page) -> None:
    page.goto("/jobs/")
    tab_to(page.locator("[name=login]"))
    page.keyboard.type("mina")
    tab_to(page.locator("[name=password]"))
    page.keyboard.type(PASSWORD)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/jobs/$"))


def take_the_boat_in(page: Page) -> None:
    """Past the places by the skip link, then find, choose, write, open."""
    page.keyboard.press("Tab")
    expect(page.locator("a.skip")).to_be_focused()
    look_at_the_focus(page)
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    press(page.get_by_role("link", name="Open a job").first)
    expect(page.locator("#open-q")).to_be_focused()
    page.keyboard.type("second wi")
    choose = page.get_by_role("button", name="Choose Second Wind")
    choose.wait_for()
    tab_to(choose)
    page.keyboard.press("Space")
    expect(page.locator("[name=concern-0-text]")).to_be_focused()
    look_at_the_focus(page)
    page.keyboard.type("Alarm sounds above 3000 rpm.")
    tab_to(page.locator("[name=concern-0-engine]"))
    page.keyboard.press("ArrowDown")
    tab_to(page.locator("[name=location]").first)
    page.keyboard.press("ArrowRight")
    look_at_the_focus(page)
    expect(page.locator("[name=location]").nth(1)).to_be_checked()
    tab_to(page.locator("[name=spot]"))
    page.keyboard.type("R 7")
    press(page.locator(".thumb .btn-main"))
    job = Job.objects.get()
    assert (job.vessel, job.spot) == (Job.objects.get().vessel, "R 7")
    assert job.vessel.name == "Second Wind"
    assert job.location == Job.LOCATIONS[1][0]
    assert job.lines.get().concern == "Alarm sounds above 3000 rpm."
    assert job.lines.get().engine is not None


def move_on(page: Page) -> None:
    press(page.get_by_role("link", name="Authorize"))
    page.locator("[name=reason]").focus()
    page.keyboard.type("By phone, 2:10 PM: find the cause.")
    press(page.get_by_role("button", name="Authorize"))
    press(page.get_by_role("button", name="Start work"), "Space")
    assert Job.objects.get().state == "in-work"


def log_a_scan(page: Page) -> None:
    """A code is typed and added by Enter; another's status is changed by the arrows; one is removed again."""
    press(page.get_by_role("link", name=re.compile("^Findings")))
    press(page.locator(".thumb .btn-main"))
    tab_to(page.locator("#id_code"))
    for count, code in enumerate(["110-0", "100-1", "94-1"], start=1):
        page.keyboard.type(code)
        page.keyboard.press("Enter")
        wait_for_count(page, f"Log {count} code{'s' if count > 1 else ''}")
        expect(page.locator("#id_code")).to_be_focused()
    tab_to(page.locator("[name=row-1-status]:checked"))
    page.keyboard.press("ArrowRight")
    expect(page.locator("[name=row-1-status][value=stored]")).to_be_checked()
    tab_to(page.locator(".listed").nth(2).get_by_role("button", name="Remove from the list"))
    page.keyboard.press("Enter")
    wait_for_count(page, "Log 2 codes")
    expect(page.locator("#listed-title")).to_be_focused()
    tab_to(page.locator("[name=phase]:checked"))
    press(page.locator(".thumb .btn-main"))
    assert Scan.objects.count() == 1
    seen = set(Sighting.objects.values_list("fault__code", "status"))
    assert seen == {("110-0", "active"), ("100-1", "stored")}


def clear_it(page: Page) -> None:
    """The question has the focus, Escape leaves it, and the focus comes back to the button."""
    press(page.get_by_role("link", name="Codes cleared"))
    button = page.locator(".thumb .btn-main")
    tab_to(button)
    page.keyboard.press("Enter")
    no = page.get_by_role("dialog").get_by_role("button", name="Leave it as it is")
    expect(no).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(button).to_be_focused()
    page.keyboard.press("Enter")
    yes = page.get_by_role("dialog").get_by_role("button", name="Log the clear")
    tab_to(yes, most=2)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "cleared" in said(page)
    assert set(Fault.objects.values_list("state", flat=True)) == {"cleared"}
