"""Goes through the pages of the program as one person, and writes down what is wrong with them.

It follows links and pictures, and takes each choice of a form that only asks, such as which invoices are shown.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qs, urlencode, urljoin, urlsplit

from django.conf import settings
from django.test import Client
from django.urls import Resolver404, resolve

HOST = "http://testserver"
AROUND = ("/static/", "/media/")
ROWS_OF_A_QUERY = 3  # addresses with a query differ by words alone; so many of each are looked at


class PageReader(HTMLParser):
    """What a page links to, what its forms offer to ask for, and what it must not hold."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.choices: list[str] = []
        self.ids: list[str] = []
        self.fragments: list[str] = []
        self.headings = 0
        self.inline: list[str] = []
        self._in_script = False
        self._asks: str | None = None
        self._list = ""
        self.feed(markup)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at one element."""
        said = {name: value or "" for name, value in attrs}
        self.headings += tag == "h1"
        if said.get("id"):
            self.ids.append(said["id"])
        self.inline += [f"{name}= on <{tag}>" for name in said if name == "style" or name.startswith("on")]
        if tag == "style":
            self.inline.append("<style>")
        self._in_script = tag == "script" and said.get("type") != "application/json"
        if tag == "a" and "href" in said:
            self._follow(said["href"])
        elif tag == "img":
            self._follow(said.get("src", ""))
        elif tag == "form":
            self._asks = said.get("action", "") if said.get("method", "get").lower() == "get" else None
            self._follow(self._asks or "")
        elif tag == "select":
            self._list = said.get("name", "")
        elif tag == "option":
            self._choose(self._list, said.get("value", ""))
        elif tag == "input" and said.get("type") in {"radio", "checkbox"}:
            self._choose(said.get("name", ""), said.get("value", "on"))

    def handle_data(self, data: str) -> None:
        """A script's own words have no place in a page."""
        if self._in_script and data.strip():
            self.inline.append("a script's words")

    def handle_endtag(self, tag: str) -> None:
        """Leave a script or a form."""
        if tag == "script":
            self._in_script = False
        elif tag == "form":
            self._asks = None

    def _follow(self, href: str) -> None:
        if href.startswith("#"):
            self.fragments.append(href[1:])
        elif href:
            self.links.append(href)

    def _choose(self, name: str, value: str) -> None:
        if self._asks is not None and name and value:
            self.choices.append(f"{self._asks}?{urlencode({name: value})}")

    def problems(self) -> list[str]:
        """What is wrong with the page, in words."""
        found = [] if self.headings == 1 else [f"{self.headings} h1"]
        found += self.inline
        found += [f"two things with the id {name}" for name, count in Counter(self.ids).items() if count > 1]
        found += [f"#{name} leads nowhere" for name in self.fragments if name and name not in self.ids]
        return found


@dataclass
class Crawl:
    """One person's way through everything, with how many objects of a kind are looked at; each choice is taken once."""

    client: Client
    most: Callable[[str, dict[str, object]], tuple[object, int]]
    seen: set[str] = field(default_factory=set)
    chosen: set[str] = field(default_factory=set)
    looked_at: Counter[object] = field(default_factory=Counter)
    routes: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    waiting: deque[tuple[str, str]] = field(default_factory=deque)

    def run(self, start: str = "/") -> Crawl:
        """Follow everything from the start."""
        self._note(start, "the start")
        while self.waiting:
            self._visit(*self.waiting.popleft())
        return self

    def _note(self, link: str, where: str, *, is_choice: bool = False) -> None:
        """Put an address in the queue, once."""
        here = link.replace(settings.PUBLIC_URL, HOST, 1) if settings.PUBLIC_URL else link
        address = urljoin(HOST + (urlsplit(where).path if where.startswith("/") else "/"), here).split("#")[0]
        if not address.startswith(f"{HOST}/"):
            return
        path = address.removeprefix(HOST)
        if path not in self.seen and not path.startswith(AROUND):
            self.seen.add(path)
            if is_choice:
                self.chosen.add(path)
            self.waiting.append((path, where))

    def _is_enough(self, path: str) -> bool:
        """Whether so many pages of this kind were looked at that one more says nothing new."""
        parts = urlsplit(path)
        match = resolve(parts.path)
        key, most = self.most(match.view_name, match.kwargs)
        if path in self.chosen:
            key, most = (match.view_name, parts.query), 1
        elif parts.query:
            key, most = (match.view_name, *sorted(parse_qs(parts.query, keep_blank_values=True))), ROWS_OF_A_QUERY
        self.looked_at[key] += 1
        self.routes[match.view_name] += 1
        return self.looked_at[key] > most

    def _visit(self, path: str, where: str) -> None:
        try:
            if self._is_enough(path):
                return
        except Resolver404:
            self.wrong.append(f"{path}, linked from {where}: no such address")
            return
        answer = self.client.get(path, follow=True)
        if answer.status_code != 200 or answer.request["PATH_INFO"].startswith("/accounts/login"):
            self.wrong.append(f"{path}, linked from {where}: {answer.status_code}")
            return
        body = b"".join(answer) if answer.streaming else answer.content
        if not answer.headers["Content-Type"].startswith("text/html"):
            if not body:
                self.wrong.append(f"{path}, linked from {where}: nothing in it")
            return
        page = PageReader(body.decode())
        self.wrong += [f"{path}: {problem}" for problem in page.problems()]
        for link in page.links:
            self._note(link, path)
        for link in page.choices:
            self._note(link, path, is_choice=True)
