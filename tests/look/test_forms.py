"""Any Django form is shown with labels, hints, errors by the field and a summary that links to each."""

from __future__ import annotations

import re

import pytest
from django import forms
from django.template import engines


class ReadingForm(forms.Form):
    sections = [("What was read", "One value at a time.", ["parameter", "value", "unit"]), ("How", "", ["phase"])]
    look = {"parameter": "half"}
    units = {"value": "unit", "hours": "h"}

    token = forms.CharField(widget=forms.HiddenInput)
    parameter = forms.CharField(help_text="For example coolant temperature.")
    value = forms.DecimalField(widget=forms.TextInput)
    unit = forms.ChoiceField(choices=[("F", "°F"), ("C", "°C")])
    hours = forms.DecimalField(widget=forms.TextInput)
    phase = forms.ChoiceField(choices=[("arrival", "Arrival"), ("trial", "Sea trial")], widget=forms.RadioSelect)
    complete = forms.BooleanField(label="All codes were listed", required=False, help_text="Leave blank if not.")
    note = forms.CharField(widget=forms.Textarea, required=False)

    def clean(self) -> dict:
        raise forms.ValidationError("The hours are below those of the last entry.")


def shown(source: str, **context: object) -> str:
    return engines["django"].from_string("{% load look %}" + source).render(context)


@pytest.fixture
def refused() -> ReadingForm:
    return ReadingForm({"parameter": "<b>oil</b>", "value": "12,x", "unit": "K", "hours": ""})


@pytest.fixture
def markup(refused: ReadingForm) -> str:
    return shown('{% include "components/form.html" %}', form=refused)


def test_every_field_is_shown_once(markup: str, refused: ReadingForm) -> None:
    for name in refused.fields:
        controls = len(re.findall(rf'<(?:input|select|textarea)[^>]*\sname="{name}"', markup))
        assert controls == (2 if name == "phase" else 1), name


def test_every_control_has_a_label(markup: str) -> None:
    ids = re.findall(r'<(?:input|select|textarea)(?![^>]*type="hidden")[^>]*\sid="([^"]+)"', markup)
    assert len(ids) == 8
    for control in ids:
        assert f'for="{control}"' in markup, control


def test_each_problem_links_to_its_control(markup: str) -> None:
    summary = markup[markup.index('class="problems"') : markup.index("</ul>")]
    targets = re.findall(r'href="#([^"]+)"', summary)
    assert targets == ["id_value", "id_unit", "id_hours", "id_phase_0"]
    for target in targets:
        assert f' id="{target}"' in markup
    assert "6 things to fix" in summary
    assert "The hours are below those of the last entry." in summary
    assert "Fill this in." in summary  # a hidden field's error is said, though there is nothing to go to
    assert "Token" not in summary  # and not by a name that no page shows


def test_errors_and_hints_are_tied_to_their_controls(markup: str) -> None:
    control = re.search(r'<input[^>]*name="value"[^>]*>', markup).group()
    assert 'aria-invalid="true"' in control
    assert 'aria-describedby="id_value_error"' in control
    assert 'id="id_value_error"' in markup
    assert 'aria-describedby="id_parameter_helptext"' in markup
    assert 'id="id_parameter_helptext"' in markup
    for tied in re.findall(r'aria-describedby="([^"]+)"', markup):
        for name in tied.split():
            assert f'id="{name}"' in markup, name


def test_what_was_typed_is_kept_and_escaped(markup: str) -> None:
    assert 'value="12,x"' in markup
    assert "&lt;b&gt;oil&lt;/b&gt;" in markup
    assert "<b>oil</b>" not in markup


def test_a_number_takes_point_or_comma_and_stands_beside_its_unit(markup: str) -> None:
    control = re.search(r'<input[^>]*name="value"[^>]*>', markup).group()
    assert 'inputmode="decimal"' in control
    assert 'type="text"' in control
    assert '<span class="unit">h</span>' in markup
    assert "Unit of Value" in markup


def test_sections_keep_their_order_and_lose_no_field(markup: str) -> None:
    assert markup.index("All codes were listed") < markup.index("What was read") < markup.index("<legend>How")


def test_fields_that_may_stay_blank_say_so(markup: str) -> None:
    assert markup.count("(optional)") == 1
    assert "(optional)" in markup[markup.index("Note") : markup.index("Note") + 60]


def test_a_form_without_any_wishes_is_shown_as_well() -> None:
    class Plain(forms.Form):
        name = forms.CharField()

    class PlainFilter(Plain):
        is_filter = True
        kind = forms.CharField(required=False)

    assert "problems" not in shown("{{ form }}", form=Plain())
    assert '<label for="id_name">Name</label>' in shown("{{ form }}", form=Plain())
    assert "One thing to fix" in shown("{{ form }}", form=Plain({}))
    assert "(optional)" not in shown("{{ form }}", form=PlainFilter())


def test_a_formset_reports_the_problems_of_all_its_forms() -> None:
    class Engine(forms.Form):
        serial = forms.CharField()

    engines_of_boat = forms.formset_factory(Engine, extra=2, min_num=2, validate_min=True)
    data = {"form-TOTAL_FORMS": "2", "form-INITIAL_FORMS": "0", "form-0-serial": "HX-1", "form-1-serial": ""}
    formset = engines_of_boat(data)
    markup = shown(
        '{% problems formset %}{% include "components/formset.html" with legend="Engine" %}', formset=formset
    )
    assert 'href="#id_form-1-serial"' in markup
    assert "<legend>Engine 2</legend>" in markup
    assert 'name="form-TOTAL_FORMS"' in markup
    assert markup.count('class="problems"') == 1


def test_a_list_of_ticks_and_a_list_of_choices_are_groups_with_a_legend() -> None:
    class Choices(forms.Form):
        look = {"which": "as-list"}
        which = forms.ChoiceField(choices=[("a", "A"), ("b", "B")], widget=forms.RadioSelect)
        several = forms.MultipleChoiceField(choices=[("a", "A"), ("b", "B")], widget=forms.CheckboxSelectMultiple)

    markup = shown("{{ form }}", form=Choices({}))
    assert markup.count("<fieldset") == 2
    assert "choices" not in markup.replace("available choices", "")
    assert re.findall(r'href="#([^"]+)"', markup) == ["id_which_0", "id_several_0"]
