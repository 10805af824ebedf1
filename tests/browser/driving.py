"""How the tests touch a page, and what every page must hold to wherever they come by."""

from __future__ import annotations

import logging
from dataclasses import dataclass, field
from typing import Any

from axe_playwright_python.base import AxeResults
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, ViewportSize

TABLET = ViewportSize(width=1024, height=768)
PHONE = ViewportSize(width=390, height=844)
DESK = ViewportSize(width=1440, height=900)
AXE = Axe()
LOOK = """async ([isLooked, contrast]) => ({
    over: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    axe: isLooked
        ? await axe.run({resultTypes: ["violations"], rules: {"color-contrast": {enabled: contrast}}})
        : {violations: []},
})"""
COLORS = """() => {
    const behind = (one) => {
        const found = [];
        for (let at = one; at; at = at.parentElement) {
            const style = getComputedStyle(at), alpha = style.opacity === "1" ? "" : `opacity ${style.opacity}`;
            const image = style.backgroundImage === "none" ? "" : style.backgroundImage;
            const color = style.backgroundColor === "rgba(0, 0, 0, 0)" ? "" : style.backgroundColor;
            if (alpha || image || color) found.push([alpha, image, color].join(" "));
            if (color.startsWith("rgb(") && !image) break;
        }
        return found.join(" on ");
    };
    const found = new Set();
    for (const one of document.querySelectorAll("body, body *")) {
        const speaks = [...one.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim());
        if ((speaks || "placeholder" in one || one.tagName === "SELECT") && one.checkVisibility()) {
            const style = getComputedStyle(one), size = parseFloat(style.fontSize);
            const isLarge = size >= 24 || size >= 18.66 && Number(style.fontWeight) >= 700;  // WCAG 2.2, 1.4.3
            found.add([style.color, isLarge, style.textShadow, behind(one)].join(", "));
        }
    }
    return [...found];
}"""
COLORS_SEEN: set[str] = set()  # of words on pages on which axe has looked at the contrast
PATIENCE = 30_000  # milliseconds: a machine may be busy with other work


class ServerErrors(logging.Handler):
    """Hears every answer of the pages' server that says that the program failed, whoever asked.

    To have the browser tell of each of its thirty answers a page took a quarter of what opening one takes.
    """

    def __init__(self, complaints: list[str]) -> None:
        super().__init__(logging.ERROR)
        self.complaints = complaints
        self.log = logging.getLogger("django.request")
        self.log.addHandler(self)

    def emit(self, record: logging.LogRecord) -> None:
        """Take one answer of 500 or more."""
        self.complaints.append(f"{record.__dict__.get('status_code')} {record.getMessage()}")


@dataclass
class Tablets:
    """The tablets in people's hands, and what went wrong on them."""

    browser: Browser
    address: str
    pages: list[Page] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)
    sessions: dict[int, str] = field(default_factory=dict)  # of people who are signed in already

    def __post_init__(self) -> None:
        self.server_errors = ServerErrors(self.complaints)

    def hand_out(self, person: Any = None, **more: Any) -> Page:
        """A tablet on which the person is signed in, or nobody is."""
        from tests.cast import session_of

        settings = {"viewport": TABLET, "has_touch": True, "base_url": self.address, **more}
        context = self.browser.new_context(**settings)
        if person is not None:
            session = self.sessions.get(person.pk) or session_of(person)
            context.add_cookies([{"name": "sessionid", "value": session, "url": self.address}])
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("pageerror", lambda error: self.complaints.append(f"{page.url}: {error}"))
        page.on("console", self._hear)
        self.pages.append(page)
        return page

    def _hear(self, message: ConsoleMessage) -> None:
        """A page's errors; that a refused form was answered with 409 or 422 is not one."""
        if message.type == "error" and "status of 4" not in message.text:
            self.complaints.append(message.text)

    def collect(self) -> None:
        """Take them all back."""
        for page in self.pages:
            page.context.close()
        self.server_errors.log.removeHandler(self.server_errors)
        assert self.complaints == []


def problems(page: Page, *sizes: ViewportSize, axe_at: int | None = None) -> list[str]:
    """What is wrong with the page as it stands, or at these sizes: headings, what hangs over, what axe finds.

    Contrast, which costs three quarters of axe's time, is looked at where words stand in a color before a background
    that this run has not looked at yet (0152). ``axe_at`` is the one size at which axe looks; None: at each.
    """
    found = []
    look = page.evaluate(AXE.axe_script + ";document.querySelectorAll('h1').length")
    if look != 1:
        found.append(f"{page.url}: {look} h1")
    for number, size in enumerate(sizes or [page.viewport_size]):
        if size and size != page.viewport_size:
            page.set_viewport_size(size)
        colors = set(page.evaluate(COLORS)) if number == (axe_at or 0) else set()
        said = page.evaluate(LOOK, [axe_at in {None, number}, bool(colors - COLORS_SEEN)])
        COLORS_SEEN.update(colors)
        width = size and size["width"]
        if said["over"] > 0:
            found.append(f"{page.url} hangs over by {said['over']} px at {width}")
        if said["axe"]["violations"]:
            found.append(f"{page.url} at {width}:\n{AxeResults(said['axe']).generate_report()}")
    return found


def sound(page: Page) -> None:
    """Nothing is wrong with the page."""
    wrong = problems(page)
    assert not wrong, "\n".join(wrong)


def go(page: Page, path: str) -> None:
    """Open a page and look at it."""
    answer = page.goto(path)
    assert answer is not None
    assert answer.status == 200, f"{path}: {answer.status}"
    sound(page)


def main_button(page: Page) -> Locator:
    """The one main action: at the thumb where the page has it there, else at the form's end."""
    return page.locator(".thumb .btn-main, .form-end .btn-main").first


def touch(target: Locator) -> None:
    """Touch it and look at the page that follows."""
    page = target.page
    with page.expect_navigation():
        target.tap()
    sound(page)


def wait_until_kept(page: Page, words: str) -> None:
    """Wait until the tablet has put what was typed aside; it does so a moment after the last key."""
    page.wait_for_function("words => Object.values(localStorage).some(draft => draft.includes(words))", arg=words)


def said(page: Page) -> str:
    """What the page says has been done."""
    return page.locator(".messages").inner_text()


def wait_for_count(page: Page, words: str) -> None:
    """Wait until the main button says so."""
    page.wait_for_function(
        "words => document.querySelector('.thumb .btn-main').textContent.trim() === words", arg=words
    )


def choose(page: Page, name: str, value: str) -> None:
    """Press a choice in."""
    page.locator("label", has=page.locator(f"input[name='{name}'][value='{value}']")).tap()
