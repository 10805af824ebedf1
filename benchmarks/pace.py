"""Walks at a person's pace on a tablet: how many touches and seconds a piece of work takes.

``python -m benchmarks.pace`` walks them against a server of its own and prints a line for each; ``tests/browser/
test_pace.py`` walks the same without the pauses and holds the touches. A key takes a quarter of a second, reaching for
something one second, and bringing into sight what lies outside the free part of the screen 0.8 s. Common practice, no
source: a slow hand with a glove. Seconds contain the server's own time.
"""

from __future__ import annotations

import subprocess
import sys
import time
from dataclasses import dataclass
from typing import Any

KEY, REACH, SCROLL = 0.25, 1.0, 0.8
TOP, BOTTOM = 70, 140
"""What of the screen the bars at its ends take, in pixels."""
PACED = "GARBOARD_PACE"

TWELVE = (
    ("Engine speed", "rpm", "700"), ("Oil pressure", "psi", "52"), ("Coolant temperature", "degF", "181"),
    ("Exhaust gas temperature", "degF", "612"), ("Fuel pressure", "psi", "58"), ("Fuel rate", "gal/h", "4.2"),
    ("Boost pressure", "psi", "12"), ("Intake air temperature", "degF", "96"), ("Battery voltage", "V", "12.7"),
    ("Charging voltage", "V", "14.1"), ("Gear oil pressure", "psi", "310"), ("Oil temperature", "degF", "205"),
)  # fmt: skip
"""Parameter, unit, value."""
TYPED = (
    "eng sp", "oil pr", "cool t", "exh g", "fuel p", "fuel ra", "boost", "int", "batt v", "charg", "gear oil p",
    "oil t",
)  # fmt: skip
"""The letters by which each is found, in the same order."""
FOUR_CODES = ("110-0", "100-1", "94-1", "157-18")


@dataclass(frozen=True)
class Walked:
    """What a walk took. A touch is a tap, a scroll, or the key that goes on."""

    name: str
    taps: int
    keys: int
    scrolls: int
    went_on: int
    seconds: float

    @property
    def touches(self) -> int:
        """Taps, scrolls and keys that go on."""
        return self.taps + self.scrolls + self.went_on

    def __str__(self) -> str:
        return (
            f"{self.name}: {self.touches} touches ({self.taps} taps, {self.went_on} times Enter, "
            f"{self.scrolls} scrolls), {self.keys} keys, {self.seconds:.0f} s"
        )


class Pace:
    """One person at one tablet. Without pauses (``is_paced`` false) the touches are the same, and no second counts."""

    def __init__(self, page: Any, *, is_paced: bool) -> None:
        self.page, self.is_paced = page, is_paced
        self.taps = self.keys = self.scrolls = self.went_on = 0
        self.began = time.monotonic()

    def _wait(self, seconds: float) -> None:
        if self.is_paced:
            time.sleep(seconds)

    def tap(self, target: Any) -> None:
        """Reach for a locator, bring it into sight where it is not, and tap it."""
        self._wait(REACH)
        box, height = target.bounding_box(), self.page.viewport_size["height"]
        if box and (box["y"] < TOP or box["y"] + box["height"] > height - BOTTOM):
            thumb = self.page.locator(".thumb").bounding_box()
            if not (thumb and thumb["y"] <= box["y"] <= height):  # what stands at the thumb is always in sight
                self.scrolls += 1
                self._wait(SCROLL)
        target.tap()
        self.taps += 1

    def write(self, text: str) -> None:
        """Type into what has the focus."""
        self.page.keyboard.type(text, delay=KEY * 1000 if self.is_paced else 0)
        self.keys += len(text)

    def go_on(self) -> None:
        """Press Enter."""
        self._wait(KEY)
        self.page.keyboard.press("Enter")
        self.keys += 1
        self.went_on += 1

    def walked(self, name: str) -> Walked:
        """What it took so far."""
        return Walked(name, self.taps, self.keys, self.scrolls, self.went_on, time.monotonic() - self.began)


def twelve_on_the_card(page: Any, *, is_paced: bool) -> Walked:
    """Twelve values that the spec card lists, from the job's findings until they are logged."""
    walk = Pace(page, is_paced=is_paced)
    walk.tap(page.get_by_role("link", name="Log readings"))
    page.locator("#sheet-rows").wait_for()
    walk.tap(page.locator(".cell-value input").first)
    for _, _, value in TWELVE:
        walk.write(value)
        walk.go_on()
    walk.tap(page.locator(".thumb .btn-main"))
    page.locator(".messages").wait_for()
    return walk.walked("12 readings, with a spec card")


def twelve_without_a_card(page: Any, *, is_paced: bool) -> Walked:
    """The same values on an engine that no spec card is for: each row is found by a few letters."""
    walk = Pace(page, is_paced=is_paced)
    walk.tap(page.get_by_role("link", name="Log readings"))
    walk.tap(page.locator("#id_find"))
    for at, (letters, (_, _, value)) in enumerate(zip(TYPED, TWELVE, strict=True), start=1):
        walk.write(f"{letters} {value}")
        walk.go_on()
        page.wait_for_function("count => document.querySelectorAll('.sheet-row').length === count", arg=at)
        page.wait_for_function("() => document.activeElement.id === 'id_find' && !document.activeElement.value")
    walk.tap(page.locator(".thumb .btn-main"))
    page.locator(".messages").wait_for()
    return walk.walked("12 readings, without a spec card")


def four_codes(page: Any, *, is_paced: bool) -> Walked:
    """Four codes of one unit, from Today until they are logged."""
    walk = Pace(page, is_paced=is_paced)
    walk.tap(page.locator("main a[href='/jobs/1001/scan/']").first)
    walk.tap(page.locator("#id_code"))
    for count, code in enumerate(FOUR_CODES, start=1):
        walk.write(code)
        walk.go_on()
        words = f"Log {count} code{'' if count == 1 else 's'}"
        button = "document.querySelector('.thumb .btn-main').textContent.trim()"
        page.wait_for_function(f"words => {button} === words", arg=words)
    walk.tap(page.locator(".thumb .btn-main"))
    page.locator(".messages").wait_for()
    return walk.walked("4 codes, from Today")


def main() -> None:
    """Walk at a person's pace, and print what each walk took."""
    import os

    asked = [sys.executable, "-m", "pytest", "tests/browser/test_pace.py", "-q", "-s", "-n", "0", "-p", "no:randomly"]
    sys.exit(subprocess.run(asked, env=os.environ | {PACED: "yes"}, check=False).returncode)


if __name__ == "__main__":
    main()
