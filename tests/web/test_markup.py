"""Markup put together in Python escapes what it is given."""

from __future__ import annotations

import pytest
from django.utils.functional import lazystr
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from hypothesis import given
from hypothesis import strategies as st

from web.markup import each_filled, filled, joined

PATTERN = "<a href=\"{}\" title='{}'>{}</a>"


class Named:
    def __str__(self) -> str:
        return "<script>"


@pytest.mark.parametrize(
    "value", ["<b>\"&'", SafeString("<b>"), mark_safe("&amp;"), 5, None, 1.5, Named(), lazystr("<i>"), "{} {0} %s"]
)
def test_a_value_is_put_in_as_format_html_does(value):
    assert filled(PATTERN, value, value, value) == format_html(PATTERN, value, value, value)
    assert type(filled(PATTERN, value, value, value)) is SafeString


@given(st.text(), st.text())
def test_no_text_gets_out_of_its_place(one, other):
    assert filled("<p>{}</p>{}", one, other) == format_html("<p>{}</p>{}", one, other)


def test_pieces_of_pieces_are_not_escaped_twice():
    rows = [("<1>", filled("<b>{}</b>", "&")), ("2", SafeString("<i>"))]
    assert each_filled("<li>{}{}</li>", rows) == format_html_join("", "<li>{}{}</li>", rows)
    assert joined([filled("{}", "<"), SafeString("<br>")]) == "&lt;<br>"
