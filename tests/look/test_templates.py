"""No template carries inline style, script or handlers, and all of them can be compiled."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.template import engines
from django.template.loader import get_template

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
PRINTED = ("reports/", "workorders/print/")  # rendered to PDF by the server, never sent to a browser


def forbidden(markup: str) -> list[str]:
    """What the security policy would block, or what would be lost without a word."""
    found = re.findall(r"<script(?![^>]*\bsrc=)[^>]*>", markup)
    found += re.findall(r"<style\b", markup)
    found += re.findall(r"<[^>]*\sstyle\s*=", markup)
    found += re.findall(r"<[^>]*\son[a-z]+\s*=", markup)
    found += re.findall(r"<[^>]*\shx-on\b", markup)
    found += re.findall(r"(?:href|src|action)\s*=\s*[\"']?\s*javascript:", markup)
    return found


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_no_inline_style_script_or_handler(path: Path) -> None:
    markup = re.sub(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}", "", path.read_text(), flags=re.S)
    if str(path.relative_to(ROOT / "templates")).startswith(PRINTED):
        markup = re.sub(r"<style\b.*?</style>", "", markup, flags=re.S)
    assert forbidden(markup) == []


@pytest.mark.parametrize(
    "markup",
    [
        "<script>go()</script>",
        "<p style='color: red'>",
        '<button type="button" onclick="go()">',
        '<a href="javascript:go()">',
        "<style>p{}</style>",
        '<div hx-on:click="go()">',
    ],
)
def test_the_scan_sees_what_it_should(markup: str) -> None:
    assert forbidden(markup)


@pytest.mark.parametrize("markup", ['<script src="a.js" defer></script>', '<button data-once="on">', "<p>on = off</p>"])
def test_the_scan_lets_honest_markup_pass(markup: str) -> None:
    assert forbidden(markup) == []


SHARED = [p for p in TEMPLATES if p.parent.name in ("components", "frames", "forms", "formsets", "templates")]


@pytest.mark.parametrize("path", SHARED, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_shared_templates_compile(path: Path) -> None:
    assert get_template(str(path.relative_to(ROOT / "templates")))


def test_the_page_of_last_resort_needs_nothing() -> None:
    markup = get_template("500.html").render({})
    assert "stored completely or not at all" in markup
    assert "data-failed" in markup


@pytest.mark.parametrize("name", ["403.html", "404.html", "413.html"])
def test_pages_of_refusal_have_one_heading_and_a_way_on(name: str) -> None:
    markup = get_template(name).render({"exception": "A technician does not sign reports."})
    assert markup.count("<h1") == 1
    assert 'href="/"' in markup


def test_an_unknown_icon_is_an_error() -> None:
    engine = engines["django"]
    assert "#sailboat" in engine.from_string('{% load look %}{% icon "vessels" %}').render({})
    with pytest.raises(Exception, match="no icon"):
        engine.from_string('{% load look %}{% icon "dragon" %}').render({})


def test_a_named_icon_is_heard_and_an_unnamed_one_is_not() -> None:
    engine = engines["django"]
    named = engine.from_string('{% load look %}{% icon "search" label="Search & find" %}').render({})
    assert 'role="img" aria-label="Search &amp; find"' in named
    assert 'aria-hidden="true"' in engine.from_string('{% load look %}{% icon "search" %}').render({})
