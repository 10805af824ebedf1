"""Requests that nobody of good will sends: every address × its parameters × roles, with values that break things.

A form is filled as its page fills it, so that most of it is right, and a few of its fields are then made wrong. All is
drawn from one seed; whatever fails says the seed and the request.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import NoReverseMatch, reverse

from findings.bench.catalog import all_tools
from staff.policy import Role
from tests.house import FLOORS
from tests.shopfloor.scene import Scene
from tests.shopfloor.test_permissions import BY_NAME, NOT_THERE, ROWS, Row

ROOT = Path(__file__).resolve().parents[2]
SLOW = {"reports:preview_pdf", "reports:sign", "reports:preview"}  # they draw a report: seldom tried
QUIET = {"account_logout"}  # afterwards every request would be nobody's
FILTERED_LIKE = {"staff:journal_csv": "staff:journal"}  # no page of its own, and the filters of another

NUMBERS = [
    "0", "-1", "1", "00", "+5", "1.5", "1,5", ".", "-", "²", "٣", "１２", "1e9", "1e400", "-1e400", "1e-400", "NaN",
    "sNaN", "Infinity", "-Infinity", "inf", "0x10", "1_000", "9" * 9, "9" * 10, "2147483647", "2147483648",
    "9223372036854775807", "9223372036854775808", "9" * 30, "9" * 5000, "0." + "0" * 400 + "1", "1" + "0" * 400,
    "999999999.9", "1E+28", "5 psi", "½", "1/0", "−5", "1 000", "1'000", "0:0", "1:2:3", "400001", "99999999",
]  # fmt: skip
TIMES = [
    "0001-01-01T00:00", "0001-01-01", "9999-12-31T23:59:59", "9999-12-31", "10000-01-01", "2026-02-30", "2026-13-01",
    "0000-00-00", "1969-12-31T23:59", "2026-03-08T02:30", "2026-11-01T01:30", "2026-05-04T10:00:61", "2026-W20-1",
    "0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00", "2026-05-04T10:00:00.1234567891", "24:00", "2026-05-04T24:00",
    "0001-01-01T00:00:00+00:00_1", "9999-12-31T23:59:59+00:00_999999999", "2026-05-04 10:00:00 00:00_1",
]  # fmt: skip
TEXTS = [
    "", " ", "\x00", "a\x00b", "\x01\x02\x1b\x7f", "\ud800", "\udfff\ud800", "\ufeff", "\u202e", "\u2028\u2029",
    "\U0010ffff", "e" + "\u0301" * 300, "🛥" * 100, "ﷺ" * 200, "ß", "İ", "x" * 101, "x" * 300, "x" * 10_000, "'", '"',
    "\\", "%", "_", "%%%_%", "%s", "%(at)s", "{0}", "{}", "{x!r}", "${x}", "$$", "';--", "a" * 20 + "\n" * 300,
    "\r\n\t", "../../etc", "/", "//x", "?", "#", "on", "off", "None", "null", "true", "[]", "{}", "[[[[",
    "[" * 100_000, '{"a":' * 20_000, "[1e999]", '[["spn","110-0","active",1]]',
    '[["spn","110-0","active",99999999999999999999]]', '[["maker","\\ud800","active",null]]',
    '[["maker","\\u0000","active",null]]', '[["spn",["x"],"active",1]]', '[["spn","110-0","active",true]]', "{}",
    '"text"', "5", "[null]", '[["flash","1-2","stored",1.5]]', "spn:110-0", "maker:\x00", "obd:", ":", "spn:",
    "maker:" + "x" * 500, "P0217", "110-0 active", "maker:A17", "(((((((((("
    "110-0,110-0,110-0",
    "00000000-0000-0000-0000-000000000000", "00000000000000000000000000000000", "not-a-uuid", "{" + "0" * 32 + "}",
    "18FECA00#0004FFFFFFFFFFFF", "<script>", "javascript:alert(1)", "//evil.example/", "http://evil.example/", "no.",
    "# - –", "a@b", "a@" + "b" * 300 + ".example", "(555) 555-0123 x" + "9" * 40, "+" * 50, "boat:1", "boat:²",
    "customer:99999999999999999999", "part:1", "part:²", "new", "find", "open", "engine", "concern", "check",
    "America/New_York", "../etc/localtime", "Etc/GMT+14",
]  # fmt: skip
EVERYTHING = NUMBERS + TIMES + TEXTS
FILES = [
    b"",
    b"\x00",
    b"%PDF-1.7",
    b"GIF89a" + b"\xff" * 40,
    b"\x89PNG\r\n\x1a\n" + b"\x00" * 60,
    b"x" * 2000,
    b"LOGG" + b"\xff" * 200,
]


class FormReader(HTMLParser):
    """Every named control of a page with the value that it would send."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.offered: dict[str, list[str]] = {}
        self.files: set[str] = set()
        self._select = ""
        self.feed(markup)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a control."""
        said = {name: value or "" for name, value in attrs}
        name, kind = said.get("name", ""), said.get("type", "")
        if tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            self._offer(self._select, said.get("value", ""), "selected" in said)
        elif tag in {"input", "button", "textarea"} and name and name != "csrfmiddlewaretoken":
            if kind == "file":
                self.files.add(name)
            elif kind in {"radio", "checkbox"}:
                self._offer(name, said.get("value", "on"), "checked" in said)
            elif tag == "button":
                self._offer(name, said.get("value", ""), False)
            else:
                self.values[name] = said.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        """Leave a select."""
        if tag == "select":
            self._select = ""

    def _offer(self, name: str, value: str, is_chosen: bool) -> None:
        self.offered.setdefault(name, []).append(value)
        if is_chosen:
            self.values[name] = value


def names_in_the_source() -> list[str]:
    """Names of parameters that views read by hand."""
    found: set[str] = set()
    for app in FLOORS:
        for path in (ROOT / app).rglob("*.py"):
            found |= set(re.findall(r'(?:GET|POST|sent|data)\.get(?:list)?\("([\w-]+)"', path.read_text()))
            found |= set(re.findall(r'_(?:key|number|count|choice)\(request, "([\w-]+)"', path.read_text()))
    return sorted(found)


@dataclass
class Request:
    """One request as it can be told and repeated."""

    role: Role | None
    method: str
    path: str
    data: dict[str, Any]
    headers: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        shown = {
            name: (text if len(str(text)) < 80 else f"{str(text)[:40]!r}… {len(str(text))}")
            for name, text in self.data.items()
        }
        return f"{self.method} {self.path[:300]!r} by {self.role or 'nobody'} with {shown!r} {self.headers}"


@dataclass
class Fuzzer:
    """Draws requests from a seed and sends them; what they wrote is undone."""

    scene: Scene
    seed: int
    clients: dict[Role | None, Client] = field(default_factory=dict)
    pages: dict[str, FormReader] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.draw = random.Random(self.seed)
        for role in (None, *Role):
            client = Client(raise_request_exception=False)
            if role is not None:
                client.force_login(self.scene.cast.person(role))
            self.clients[role] = client

    @cached_property
    def rows(self) -> list[Row]:
        """Every address that is tried."""
        bench = BY_NAME["findings:bench_tool"]
        tools = [replace(bench, args=partial(_at_the_bench, tool=name)) for name in all_tools()]
        return [*(row for row in ROWS if row.name not in {*QUIET, bench.name}), *tools]

    @cached_property
    def names_of_rows(self) -> list[str]:
        return list(dict.fromkeys(row.name for row in self.rows))

    @cached_property
    def names(self) -> list[str]:
        return names_in_the_source()

    def request(self) -> Request:
        """The next one."""
        draw = self.draw
        name = draw.choice([name for name in self.names_of_rows if name not in SLOW or draw.random() < 0.05])
        row = draw.choice([row for row in self.rows if row.name == name])
        role = Role.OWNER if draw.random() < 0.7 else draw.choice([None, *Role])
        path = self._path(row)
        posts = row.to_post != NOT_THERE and draw.random() < 0.6
        page = self.page_of(row)
        data = self._filled(page) if posts or draw.random() < 0.5 else {}
        for _ in range(draw.randint(1, 4)):
            data[self._name(page)] = self._value()
        if posts and page.files and draw.random() < 0.7:
            for name in page.files:
                data[name] = SimpleUploadedFile(
                    draw.choice(["a.log", "a.png", "x" * 300, "../../x", "\u202e.pdf"]), draw.choice(FILES)
                )
        headers = {}
        if draw.random() < 0.2:
            headers = {
                "HX-Request": "true",
                "HX-Target": draw.choice(["found", "capture", "parts-found", "opening", "twins", "x"]),
            }
        return Request(role, "POST" if posts else "GET", path, data, headers)

    def _path(self, row: Row) -> str:
        arguments = row.arguments(self.scene)
        if arguments and self.draw.random() < 0.25:
            place = self.draw.randrange(len(arguments))
            arguments[place] = self.draw.choice([9**9, 2**31, 2**63, 10**30, 0, *TEXTS[:40], *NUMBERS[:30]])
        try:
            return reverse(row.name, args=arguments)
        except (NoReverseMatch, UnicodeError):
            return reverse(row.name, args=row.arguments(self.scene))

    def page_of(self, row: Row) -> FormReader:
        """What can be typed at an address."""
        if row.name in FILTERED_LIKE:
            return self.page_of(BY_NAME[FILTERED_LIKE[row.name]])
        path = reverse(row.name, args=row.arguments(self.scene))
        if path not in self.pages:
            markup = ""
            if row.to_get != NOT_THERE and row.name not in SLOW:
                answer = self.clients[Role.OWNER].get(path)
                if answer.headers.get("Content-Type", "").startswith("text/html"):
                    markup = re.sub(r'<form[^>]*role="search".*?</form>', "", answer.content.decode(), flags=re.S)
            self.pages[path] = FormReader(markup)
        return self.pages[path]

    def _filled(self, page: FormReader) -> dict[str, Any]:
        data: dict[str, Any] = dict(page.values)
        for name, values in page.offered.items():
            if self.draw.random() < 0.4:
                data[name] = self.draw.choice(values)
        for name, value in data.items():
            if not value and self.draw.random() < 0.5 and name not in page.offered:
                data[name] = self.draw.choice(["12", "500", "Seawater pump", "2026-05-04T10:00", "110-0", "3.5 V"])
        return data

    def _name(self, page: FormReader) -> str:
        known = [*page.values, *page.offered]
        return self.draw.choice(known) if known and self.draw.random() < 0.75 else self.draw.choice(self.names)

    def _value(self) -> Any:
        if self.draw.random() < 0.08:
            return [self.draw.choice(EVERYTHING) for _ in range(3)]
        return self.draw.choice(self.draw.choice([NUMBERS, TIMES, TEXTS, TEXTS]))

    def send(self, asked: Request) -> HttpResponse:
        """The answer; nothing of it stays."""
        cache.clear()
        client = self.clients[asked.role]
        data = {name: _encodable(value) for name, value in asked.data.items()}
        with transaction.atomic():
            send = client.post if asked.method == "POST" else client.get
            answer: HttpResponse = send(asked.path, data, headers=asked.headers)
            if answer.streaming:
                b"".join(answer)
                for close in answer._resource_closers:  # its own close() would close the test's connection as well
                    close()
            transaction.set_rollback(True)
        return answer


def _at_the_bench(scene: Scene, tool: str) -> tuple[int, str]:
    return scene.job.number, tool


def _encodable(value: Any) -> Any:
    """Lone surrogates as the bytes that a client would send for them."""
    if isinstance(value, str):
        return (
            value.encode("utf-8", "surrogatepass").decode("utf-8", "replace")
            if any("\ud800" <= c <= "\udfff" for c in value)
            else value
        )
    return [_encodable(one) for one in value] if isinstance(value, list) else value
