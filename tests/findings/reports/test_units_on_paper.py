"""On paper no figure parts from its unit at the end of a line, and what was typed is still only text."""

from __future__ import annotations

import re

import pytest

from findings.reports.templatetags.reports import kept_together


def kept(text: str) -> list[str]:
    return re.findall(r'<span class="rp-kept">([^<]*)</span>', kept_together(text))


@pytest.mark.parametrize(
    ("text", "together"),
    [
        ("Starting battery, 12 V, 800 A cold cranking", ["12 V", "800 A"]),
        ("Thermostat, 176 °F", ["176 °F"]),
        ("Pressure-tested to 15 psi, one hour at 3000 rpm.", ["15 psi", "3000 rpm"]),
        ("38 to 46 psi at idle", ["38 to 46 psi"]),
        ("0.6 psi inside the lower limit", ["0.6 psi"]),
        ("Hose, 1 1/4 in inside", ["1/4 in"]),
        ("Engine oil 15W-40, gallon", []),
        ("Replaced in 2 places", []),
        ("Cylinder 3 has low compression", []),
        ("Bolt M8 V shape", []),
        ("Line 4 hoses", []),
        ("", []),
    ],
)
def test_figures_stay_with_their_units(text, together):
    assert kept(text) == together
    assert re.sub(r"<[^>]*>", "", kept_together(text)) == text


def test_what_was_typed_stays_text():
    assert kept_together("<b>12 V</b> & 5 A") == (
        '&lt;b&gt;<span class="rp-kept">12 V</span>&lt;/b&gt; &amp; <span class="rp-kept">5 A</span>'
    )
