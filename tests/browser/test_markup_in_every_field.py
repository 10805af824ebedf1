"""Somebody types markup into every text field there is. It stays text: on every page, for every role, and on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any
from unittest.mock import patch
from urllib.parse import quote, urlsplit

import pytest
from django.core.cache import cache
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from staff.models import Person
from staff.policy import Role
from tests.browser.driving import Tablets
from tests.browser.test_every_page import is_open
from tests.cast import session_of
from tests.shopfloor.poison import PLACE, in_json, poison, poison_everything, spots, unknown_exceptions
from tests.shopfloor.stage_of_everything import full_stage
from tests.shopfloor.test_permissions import NOT_THERE, ROWS
from vessels.models import LogEntry

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

TYPED = poison(99, 5000)
# Their words are tried on paper below, and nothing is signed in a thread that drives a browser.
DRAWS_THE_REPORT = {"reports:sign", "reports:preview", "reports:preview_pdf"}
NEVER_SHOWN = {
    "canlogs.CanLog.doing": "what a log's worker does at the moment; this log is read",
    "canlogs.CanLog.problem": "why a log could not be read; this one could",
    "happenings.SettingChange.unit": "shown beside a figure alone, and the value beside it is none here",
    "readings.LearnedName.instrument": "compared with the instrument that a pasted text is of, which its page shows",
    "readings.LearnedName.name": "compared with the names of a pasted text, which its page shows",
    "reports.ReportDraft.problem": "why a report could not be signed; this draft is not at that",
    "reports.ReportDraft.why_revised": "asked where a report takes another's place; this one is the first",
    "vessels.HourMeter.label": "an engine has one meter at a time, which is not named",
    "vessels.DetailsChange.subject": "the sentence of its entry says it",
    "workorders.JobChange.subject": "the sentence of its entry says it",
}


@pytest.fixture(scope="module")
def poisoned(django_db_setup: None, django_db_blocker: Any) -> Iterator[tuple[str, Any]]:
    """The stage as a server shows it, with markup in every field; emptied behind the module."""
    with django_db_blocker.unblock():
        cache.clear()
        with transaction.atomic():
            scene = full_stage()
            for row in ROWS:
                row.arguments(scene)  # every lazily made thing is there before it is poisoned
            poison_everything()
        sessions = {person.pk: session_of(person) for person in Person.objects.all()}
    server = LiveServer("localhost")
    scene.sessions = sessions
    yield server.url, scene
    server.stop()
    with django_db_blocker.unblock():
        call_command("flush", verbosity=0, interactive=False)


def addresses(scene: Any, person: Person | None) -> list[str]:
    """Every page there is for the person, and those that look another way when something was typed."""
    found = [reverse(row.name, args=row.arguments(scene)) for row in ROWS if is_open(row, person)]
    if person is None:
        return found
    typed = quote(TYPED[:200])
    kinds = LogEntry.objects.order_by("kind", "position").distinct("kind").values_list("pk", flat=True)
    found += [reverse("vessels:entry", args=[pk]) for pk in kinds]
    found += [
        f"{reverse('search')}?q={typed}",
        f"{reverse('search')}?q=p%3D",
        f"{reverse('workorders:open')}?new",
        f"{reverse('workorders:open')}?q=p%3D",
        f"{reverse('workorders:open')}?vessel={scene.cast.vessel.pk}",
        f"{reverse('findings:insight_repairs')}?outcome=open",
    ]
    return found


class Injected(HTMLParser):
    """Elements of a page that nobody of ours wrote."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(markup)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Ours never bear an attribute p, nor lead anywhere under /p/."""
        said = dict(attrs)
        leads = [said.get(name) or "" for name in ("href", "src", "action", "hx-get", "hx-post", "data")]
        if "p" in said or any(one.startswith((PLACE, "javascript:", "file:", "http:///p")) for one in leads):
            self.found.append(self.get_starttag_text() or tag)


def injected(markup: str) -> list[str]:
    return Injected(markup).found


def words_of(markup: str) -> set[str]:
    """The numbers of the fields whose words a page shows, as text."""
    return set(re.findall(r"&lt;i p=(\d+)&gt;", markup)) | set(re.findall(r"<i p=(\d+)>", markup))


def person_of(role: Role | None) -> Person | None:
    return Person.objects.filter(role=role.value).order_by("pk").first() if role else None


def client_of(person: Person | None) -> Client:
    client = Client()
    if person is not None:
        client.force_login(person)
    return client


# --- the list of fields ---


def test_every_exception_is_a_field_that_there_is() -> None:
    assert unknown_exceptions() == set()
    assert len(spots()) > 70


# --- what the server draws ---


@pytest.mark.parametrize("role", [Role.OWNER, Role.TECHNICIAN, Role.FRONT_DESK, None])
def test_no_page_has_an_element_that_somebody_typed(poisoned: tuple[str, Any], role: Role | None) -> None:
    _, scene = poisoned
    person = person_of(role)
    client = client_of(person)
    wrong, shown = [], set()
    not_there = {reverse(row.name, args=row.arguments(scene)) for row in ROWS if row.status == 404}
    for path in addresses(scene, person):
        answer = client.get(path)
        allowed = {404} if path in not_there else {200, 204, 302, 403}
        assert answer.status_code in allowed, f"{path}: {answer.status_code}"
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            markup = answer.content.decode()
            wrong += [f"{path}: {one}" for one in injected(markup)]
            shown |= words_of(markup)
    assert not wrong, "\n".join(wrong)
    if role == Role.OWNER:
        missing = {spot.label for spot in spots() if str(spot.number) not in shown}
        assert missing <= set(NEVER_SHOWN), f"shown on no page, so nothing was tried with them: {sorted(missing)}"


def test_no_answer_to_a_form_has_an_element_that_was_sent(poisoned: tuple[str, Any]) -> None:
    """Every field of every form filled with it: what comes back with sentences beside the fields holds it as text."""
    _, scene = poisoned
    owner = person_of(Role.OWNER)
    client = client_of(owner)
    wrong, echoed = [], 0
    for row in ROWS:
        if row.to_post == NOT_THERE or row.name in {"account_logout", *DRAWS_THE_REPORT}:
            continue
        path = reverse(row.name, args=row.arguments(scene))
        page = client.get(path).getvalue().decode(errors="replace") if row.to_get != NOT_THERE else ""
        names = set(re.findall(r'<(?:input|textarea|select|button)\b[^>]*\sname="([^"]+)"', page)) or {"reason", "text"}
        structural = re.compile(r"TOTAL_FORMS|INITIAL_FORMS|csrf|^concerns$|^engines$")
        sent = {name: "1" if structural.search(name) else TYPED[:900] for name in names}
        with transaction.atomic():
            answer = client.post(path, sent)
            transaction.set_rollback(True)
        assert answer.status_code < 500, f"{path}: {answer.status_code}"
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            markup = answer.content.decode()
            wrong += [f"{path}: {one}" for one in injected(markup)]
            echoed += "&lt;i p=99&gt;" in markup
    assert not wrong, "\n".join(wrong)
    assert echoed > 20


# --- what a browser makes of it ---

LOOK = f"""() => [
    ...document.querySelectorAll("[p], [href^='{PLACE}'], [src^='{PLACE}'], [href^='javascript:']"),
    ...[...document.querySelectorAll("[hx-get], [hx-post]")].filter((one) => one.closest(htmx.config.disableSelector)),
].map((one) => one.outerHTML.slice(0, 200))"""


class Witness:
    """What a page did that no page of ours does."""

    def __init__(self, page: Page, home: str) -> None:
        self.seen: list[str] = []
        self.home = urlsplit(home).netloc
        page.on("dialog", self._dialog)
        page.on("request", lambda request: self._request(page, request.url))

    def _dialog(self, dialog: Any) -> None:
        self.seen.append(f"a dialog: {dialog.message}")
        dialog.dismiss()

    def _request(self, page: Page, url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme != "data" and (parts.netloc != self.home or parts.path.startswith(PLACE)):
            self.seen.append(f"{page.url} asked for {url}")


@pytest.mark.long
def test_no_page_obeys_what_somebody_typed(poisoned: tuple[str, Any], chromium: Browser) -> None:
    home, scene = poisoned
    owner = person_of(Role.OWNER)
    assert owner is not None
    tablets = Tablets(chromium, home, sessions=scene.sessions)
    page = tablets.hand_out(owner)
    witness = Witness(page, home)
    wrong: list[str] = []
    shown: set[str] = set()
    for path in addresses(scene, owner):
        page.goto(path, wait_until="load")
        shown |= words_of(page.content())
        wrong += [f"{path}: {one}" for one in page.evaluate(LOOK)]
        typing = page.locator("main input[hx-get]")
        if typing.count():
            with page.expect_response(lambda answer: answer.request.headers.get("hx-request") == "true"):
                typing.first.press_sequentially("<i p=1>")
            wrong += [f"{path}, as one types: {one}" for one in page.evaluate(LOOK)]
    assert not wrong, "\n".join(wrong)
    assert witness.seen == []
    assert len(shown) > 60, "it is the pages that were looked at, and not the login"
    tablets.collect()


def test_htmx_obeys_nothing_where_words_stand(poisoned: tuple[str, Any], chromium: Browser) -> None:
    """The second bolt: markup that got in among the words all the same is not obeyed."""
    home, scene = poisoned
    owner = person_of(Role.OWNER)
    assert owner is not None
    page = Tablets(chromium, home, sessions=scene.sessions).hand_out(owner)
    page.goto(reverse("vessels:log", args=[scene.cast.vessel.pk]))
    assert page.locator(".entries").count() == 1
    asked: list[str] = []
    page.on("request", lambda request: asked.append(urlsplit(request.url).path))
    put = """([place, markup]) => {
        const made = document.createElement("div");
        made.innerHTML = markup;
        let where = document.querySelector("main");
        for (const name of place.split(" ")) {
            const next = document.createElement(name.startsWith(".") ? "div" : name);
            if (name.startsWith(".")) next.className = name.slice(1);
            where.append(next);
            where = next;
        }
        where.append(made);
        htmx.process(made);
    }"""
    for place in (".written", ".entry-detail", ".hint", "h1", "table tbody tr td", "pre", "small"):
        page.evaluate(put, [place, '<div hx-get="/p/1" hx-trigger="load"></div>'])
    page.wait_for_timeout(300)
    assert not [path for path in asked if path.startswith(PLACE)]
    elsewhere = '<div hx-get="http://192.0.2.1/p/3" hx-trigger="load"></div>'
    page.evaluate(put, [".free", f'<div hx-get="/p/2" hx-trigger="load"></div>{elsewhere}'])
    page.wait_for_timeout(300)
    assert [path for path in asked if path.startswith(PLACE)] == ["/p/2"], "the probe works, and asks nobody else"
    page.context.close()


# --- paper ---


def test_paper_has_it_as_words_and_asks_for_nothing(poisoned: tuple[str, Any]) -> None:
    _, scene = poisoned
    with transaction.atomic():
        poison_everything(longest=80)  # WeasyPrint takes minutes to balance columns of endless words
        _draw_and_listen(scene)
        transaction.set_rollback(True)


def _draw_and_listen(scene: Any) -> None:
    from files.paper import drawing
    from findings.reports import render
    from findings.reports.build import build_findings, draft_record, issued_record, person_facts
    from findings.reports.models import ReportDraft
    from findings.reports.record import IssueFacts
    from staff.queries import shop_profile

    draft = ReportDraft.objects.get(pk=scene.draft.pk)
    fetched: list[str] = []
    original = drawing._fetcher

    class Listening(type(original())):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            fetched.append(url)
            return super().fetch(url, headers)

    signer = person_facts(person_of(Role.OWNER))
    issue = IssueFacts(
        number="1-1", code="ABCD2345", supersedes="", signed_at=timezone.now(), signer=signer,
        verify_url="https://shop.example.com/verify/1-1/ABCD2345/",
    )  # fmt: skip
    stationery = drawing.Stationery.of_shop(shop_profile())
    issued = issued_record(build_findings(draft), issue)
    for record in (draft_record(draft), issued):
        markup = render.paper_html(record, stationery)
        assert injected(markup) == []
        assert len(words_of(markup)) > 20
    with patch.object(drawing, "_fetcher", lambda *protocols: Listening(allowed_protocols=protocols)):
        drawn = render.draw_pdf(issued, stationery)
    assert drawn.pages > 1
    assert [one for one in fetched if PLACE in one] == []
    for forbidden in (b"/JavaScript", b"/Launch", b"/SubmitForm", b"javascript:"):
        assert forbidden not in drawn.data


def test_the_poison_is_put_into_texts_within_json() -> None:
    assert in_json({"a": ["two words", "word", 5]}, 7, 99, every=False) == {"a": [poison(7, 99), "word", 5]}
