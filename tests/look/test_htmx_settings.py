"""What htmx may do on our pages, and what it does not obey."""

from __future__ import annotations

import json
import re

from django.template import engines
from django.template.loader import get_template

from shopfloor.templatetags.look import HTMX_SETTINGS, WHERE_WORDS_STAND
from tests.look.test_templates import ROOT, TEMPLATES


def test_pages_tell_htmx_what_it_may_not_do() -> None:
    for frame in ("base.html", "frames/plain.html"):
        page = get_template(frame).render({})
        content = re.search(r'<meta name="htmx-config" content="([^"]*)"', page)
        assert content
        said = json.loads(content[1].replace("&quot;", '"'))
        assert said["selfRequestsOnly"] is True
        assert said["allowEval"] is said["allowScriptTags"] is said["allowNestedOobSwaps"] is False
        assert said["historyCacheSize"] == 0
        assert "[hx-disable]" in said["disableSelector"]


def test_htmx_knows_every_setting_that_it_is_told() -> None:
    known = (ROOT / "static" / "vendor" / "htmx.min.js").read_text()
    assert [name for name in HTMX_SETTINGS if f"{name}:" not in known] == []


def test_help_of_a_field_is_text() -> None:
    from django import forms

    class Form(forms.Form):
        plain = forms.CharField(help_text="<img src=x onerror=alert(1)>")
        tick = forms.BooleanField(help_text="<img src=x onerror=alert(1)>")

    drawn = (
        engines["django"]
        .from_string('{% for field in form %}{% include "components/field.html" %}{% endfor %}')
        .render({"form": Form()})
    )
    assert drawn.count("&lt;img src=x onerror=alert(1)&gt;") == 2
    assert "<img" not in drawn


def test_every_form_that_is_sent_carries_its_own_token() -> None:
    for path in TEMPLATES:
        for form in re.findall(r"<form\b.*?</form>", path.read_text(), re.S):
            is_sent = re.search(r'<form\b[^>]*method="post"', form, re.S)
            assert ("{% csrf_token %}" in form) is bool(is_sent), f"{path}: {form[:120]}"


def test_words_stand_in_places_that_the_templates_have() -> None:
    everything = "".join(path.read_text() for path in TEMPLATES) + "".join(
        path.read_text() for app in ("vessels", "findings", "shopfloor") for path in (ROOT / app).rglob("*.py")
    )
    classes = [one.strip()[1:] for one in WHERE_WORDS_STAND.split(",") if one.strip().startswith(".")]
    forms = (ROOT / "templates" / "django").rglob("*.html") if (ROOT / "templates" / "django").exists() else ()
    everything += "errorlist" + "".join(path.read_text() for path in forms)
    assert [name for name in classes if name not in everything] == []
