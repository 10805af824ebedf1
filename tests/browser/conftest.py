"""Tablets for the tests: a browser, people who are signed in, and an ear for what the pages complain about."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from django.db import connections
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.browser.driving import PATIENCE, Tablets

if TYPE_CHECKING:
    from tests.cast import Cast


ALONE = ["--no-zygote", "--in-process-gpu"]  # two processes less for each browser
expect.set_options(timeout=PATIENCE)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What drives a browser may take its time, as it runs beside all other tests."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents and item.get_closest_marker("timeout") is None:
            item.add_marker(pytest.mark.timeout(600))  # it would come before a longer one of the module's


@pytest.fixture(scope="module", autouse=True)
def _queries_beside_a_browser() -> Iterator[None]:
    """The browser's driver runs an event loop in this thread, in which Django would refuse to ask the database."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        yield


@pytest.fixture(autouse=True)
def _a_worker() -> Iterator[None]:
    """The pages ask the health page whether there is a connection; it is well only where a worker was heard of lately.

    One is heard of as long as the test lasts: on a busy machine a walk takes longer than the health page waits.
    """
    from shopfloor.health import note_heartbeat

    ended = threading.Event()

    def live() -> None:
        while not ended.wait(20):
            note_heartbeat()

    note_heartbeat()
    worker = threading.Thread(target=live, daemon=True)
    worker.start()
    yield
    ended.set()
    worker.join()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for a module: Chromium's pages without its windows, for half of the processor time (0150)."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=Path(__file__).with_name("chromium.sh"),
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking", *ALONE],
        )
        yield browser
        connections.close_all()  # beside the browser's loop this thread has connections of their own
        browser.close()


@pytest.fixture
def cast(transactional_db: None) -> Cast:
    """The people, the customer and the boat, where the server sees them."""
    from django.core.cache import cache

    from tests.cast import make_cast

    cache.clear()
    return make_cast()


@pytest.fixture
def tablets(chromium: Browser, live_server: Any) -> Iterator[Tablets]:
    """Hands out tablets; in the end none of them may have complained."""
    made = Tablets(chromium, live_server.url)
    yield made
    made.collect()


@pytest.fixture
def a_page(tablets: Tablets) -> Page:
    """A tablet on which nobody is signed in."""
    return tablets.hand_out()
