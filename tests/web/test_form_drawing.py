"""The controls that the house draws are those that Django's own templates draw."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import SafeString

from web.form_drawing import _DRAWN, DrawnControls

OPTIONS = [("", "Nothing"), ("a", "A & B"), ("Group <1>", [(1, "One"), (2, 'Two "2"')]), (None, "None")]
CONTROLS = [
    (forms.TextInput(), 'a "quoted" <b> & more'),
    (forms.TextInput({"disabled": True, "hidden": False, "data-x": 5, "data-y": "<'>"}), None),
    (forms.TextInput({"title": SafeString("&amp;")}), SafeString("&lt;")),
    (forms.NumberInput({"step": "any"}), Decimal("1.50")),
    (forms.EmailInput(), "a@example.com"),
    (forms.URLInput(), "https://example.com/?a=1&b=2"),
    (forms.PasswordInput(), "secret"),
    (forms.HiddenInput(), 0),
    (forms.DateInput({"type": "date"}, format="%Y-%m-%d"), date(2026, 5, 1)),
    (forms.DateTimeInput(), ""),
    (forms.TimeInput(), "10:00"),
    (forms.CheckboxInput(), True),
    (forms.CheckboxInput(), False),
    (forms.Textarea({"rows": 3}), "two\nlines </textarea>"),
    (forms.Textarea(), None),
    (forms.Select(choices=OPTIONS), "a"),
    (forms.Select({"class": "x"}, choices=OPTIONS), 2),
    (forms.SelectMultiple(choices=OPTIONS), ["a", 1]),
    (forms.NullBooleanSelect(), True),
    (forms.RadioSelect(choices=OPTIONS), 1),
    (forms.RadioSelect({"class": "choices"}, choices=OPTIONS), None),
    (forms.CheckboxSelectMultiple(choices=OPTIONS), ["a"]),
    (forms.ClearableFileInput(), None),
    (forms.SplitDateTimeWidget(), None),
]


def told(markup: str) -> str:
    """Without the line breaks between elements, which say nothing."""
    return re.sub(r"\s*\n\s*", " ", re.sub(r"\s*\n\s*(?=<)", "", markup))


@pytest.mark.parametrize(("widget", "value"), CONTROLS, ids=lambda one: type(one).__name__)
@pytest.mark.parametrize("attrs", [{}, {"id": "id_name", "required": True, "aria-describedby": "hint"}], ids=["", "id"])
def test_a_control_is_drawn_as_django_draws_it(widget, value, attrs):
    ours = widget.render("name", value, attrs, renderer=DrawnControls())
    theirs = widget.render("name", value, attrs, renderer=DjangoTemplates())
    assert told(ours) == told(theirs)
    assert isinstance(ours, SafeString)


def test_every_kind_that_is_drawn_is_compared():
    compared = {widget.template_name for widget, _ in CONTROLS}
    assert set(_DRAWN) - {"django/forms/widgets/input.html"} <= compared


def test_what_is_not_drawn_comes_from_its_template(settings):
    assert settings.FORM_RENDERER == "web.form_drawing.DrawnControls"
    form = forms.Form({})
    form.fields["name"] = forms.CharField(error_messages={"required": "Write <it>."})
    assert "Write &lt;it&gt;." in str(form["name"].errors)
