"""What the templates of every page draw with: icons, form layout, error summaries."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID, uuid4

from django import template
from django.forms import BaseForm, BoundField
from django.forms.formsets import BaseFormSet
from django.forms.widgets import CheckboxInput, CheckboxSelectMultiple, NumberInput, RadioSelect
from django.utils.safestring import SafeString

from commands.questions import FIELD, answered_questions, open_questions
from vessels.wording import date_words
from web.addresses import address_of
from web.icons import icon
from web.markup import NOTHING, filled

register = template.Library()

register.simple_tag(icon)

WHERE_WORDS_STAND = (
    "[hx-disable], h1, h2, h3, legend, small, summary, dd, td, th, pre, option, "
    ".written, .entries, .entry-detail, .hint, .errorlist, .row-title, .code, .soft, .tag"
)
"""Where the pages show what somebody typed. No control of ours stands within, so htmx obeys nothing that does."""

HTMX_SETTINGS = {
    "includeIndicatorStyles": False,
    "selfRequestsOnly": True,
    "allowEval": False,
    "allowScriptTags": False,
    "allowNestedOobSwaps": False,
    "disableSelector": WHERE_WORDS_STAND,
    "historyCacheSize": 0,
    "refreshOnHistoryMiss": True,
    "responseHandling": [
        {"code": "204", "swap": False},
        {"code": "[23]..", "swap": True},
        {"code": "409", "swap": True},
        {"code": "422", "swap": True},
        {"code": "[45]..", "swap": False, "error": True},
    ],
}
"""No inline style and no evaluation (the policy forbids both), no script in a fragment, no request to elsewhere, and no
page kept in the browser; a refused form (409, 422) comes back as a fragment."""


@register.simple_tag
def entry_id() -> SafeString:
    """The id of what a form does, for a form that has no field for it: so that sending it twice does it once."""
    return filled('<input type="hidden" name="entry_id" value="{}" data-entry-id>', uuid4())


@register.filter(expects_localtime=True)
def day(value: date | None) -> str:
    """A day, or that of a moment in the shop's zone: Mar 4, 2026; nothing for nothing.

    It writes what ``date:"M j, Y"`` writes, for rows: that one reads its pattern each time.
    """
    return date_words(value) if value else ""


@register.filter
def address(key: int | UUID, name: str) -> str:
    """The address of a record, for rows: what ``{% url name key %}`` gives, at a tenth of its cost."""
    return address_of(name, key)


@register.simple_tag
def htmx_settings() -> str:
    """The content of htmx's meta element."""
    return json.dumps(HTMX_SETTINGS, separators=(",", ":"))


@dataclass(frozen=True, slots=True)
class Section:
    """A group of fields under one legend; the legend is empty for fields that no section names."""

    legend: str
    hint: str
    fields: list[BoundField]


@register.simple_tag
def form_sections(form: BaseForm) -> list[Section]:
    """The form's visible fields in the sections that it declares: `sections = [(legend, hint, [names])]`.

    A field that no section names is not lost: it comes first, under no legend.
    """
    beside = set(_unit_field_names(form))
    shown = {field.name: field for field in form.visible_fields() if field.name not in beside}
    made = [
        Section(legend, hint, [shown.pop(name) for name in names if name in shown])
        for legend, hint, names in getattr(form, "sections", ())
    ]
    rest = [Section("", "", list(shown.values()))] if shown else []
    return rest + [section for section in made if section.fields]


def _unit_field_names(form: BaseForm) -> Iterator[str]:
    for unit in getattr(form, "units", {}).values():
        if unit in form.fields:
            yield unit


@dataclass(frozen=True, slots=True)
class FieldLook:
    """How one field is laid out: its kind picks the markup, its classes the width and the style."""

    kind: str
    classes: str
    unit: str
    unit_field: BoundField | None
    is_optional: bool


@register.simple_tag
def field_look(field: BoundField) -> FieldLook:
    """The look of a field, from its widget and from what the form says in `look = {name: classes}` and `units`.

    What a form names in `asked_sometimes` may be left empty in one case and not in another: it is not called optional.
    """
    widget = field.field.widget
    classes = ["field", getattr(field.form, "look", {}).get(field.name, "")]
    kind = "plain"
    if isinstance(widget, CheckboxInput):
        kind = "tick"
        classes.append("is-tick")
    elif isinstance(widget, RadioSelect) or field.use_fieldset:
        kind = "group"
        if isinstance(widget, RadioSelect) and not isinstance(widget, CheckboxSelectMultiple):
            classes.append("" if "as-list" in classes[1] else "choices")
    unit = getattr(field.form, "units", {}).get(field.name, "")
    unit_field = field.form[unit] if unit in field.form.fields else None
    if unit and kind == "plain":
        kind = "number"
    if field.errors or (unit_field and unit_field.errors):
        classes.append("is-wrong")
    optional = not field.field.required and kind != "tick" and not getattr(field.form, "is_filter", False)
    optional = optional and field.name not in getattr(field.form, "asked_sometimes", ())
    return FieldLook(kind, " ".join(filter(None, classes)), "" if unit_field else unit, unit_field, optional)


@register.filter
def decimal_keys(field: BoundField) -> SafeString:
    """The field's control with the keys for figures: a text field that takes a point or a comma."""
    widget = field.field.widget
    attrs = {"inputmode": "decimal", "autocomplete": "off"}
    if isinstance(widget, NumberInput):
        attrs["step"] = "any"
    return field.as_widget(attrs={**attrs, **widget.attrs})


@register.simple_tag
def drawn_field(field: BoundField, small_number: object = None) -> SafeString:
    """A field with its label, its hint, what is wrong with it and its control: a form has many, and a page forms."""
    if field.is_hidden:
        return _control(field)
    look = field_look(field)
    if look.kind == "tick":
        return _tick(field, look)
    if look.kind == "group":
        return _group(field, look)
    control = _number(field, look, is_small=bool(small_number)) if look.kind == "number" else _control(field)
    return filled(
        '<div class="{}">\n    <label for="{}">{}{}</label>\n    {}{}\n    {}\n  </div>',
        look.classes,
        field.id_for_label,
        field.label,
        OPTIONAL if look.is_optional else NOTHING,
        _hint(field),
        _errors(field),
        control,
    )


TICK = "tick"
OPTIONAL = filled(' <span class="optional">(optional)</span>')


def _control(field: BoundField) -> SafeString:
    """The control itself as a template shows it, with what stood there first where the form keeps that."""
    return filled("{}{}", field.as_widget(), field.as_hidden(only_initial=True)) if _keeps(field) else field.as_widget()


def _keeps(field: BoundField) -> bool:
    return field.field.show_hidden_initial


def _hint(field: BoundField) -> SafeString:
    if not field.help_text:
        return NOTHING
    return filled('<p class="hint" id="{}_helptext">{}</p>', field.auto_id, field.help_text)


def _errors(field: BoundField) -> str:
    return str(field.errors) if field.errors else NOTHING


def _tick(field: BoundField, look: FieldLook) -> SafeString:
    return filled(
        '<div class="{}">\n    {}\n    <label class="{}" for="{}">{} <span>{}</span></label>\n    {}\n  </div>',
        look.classes,
        _errors(field),
        TICK,
        field.id_for_label,
        _control(field),
        field.label,
        _hint(field),
    )


def _group(field: BoundField, look: FieldLook) -> SafeString:
    told = field.aria_describedby
    return filled(
        '<fieldset class="{}"{}>\n    <legend>{}{}</legend>\n    {}{}\n    {}\n  </fieldset>',
        look.classes,
        filled(' aria-describedby="{}"', told) if told else NOTHING,
        field.label,
        OPTIONAL if look.is_optional else NOTHING,
        _hint(field),
        _errors(field),
        _control(field),
    )


def _number(field: BoundField, look: FieldLook, *, is_small: bool) -> SafeString:
    """The control of a number with its unit: a word, or a field of its own with what the number is in the other."""
    unit = look.unit_field
    beside = (
        filled('<span class="unit">{}</span>', look.unit)
        if unit is None
        else filled(
            '<label class="visually-hidden" for="{}">Unit of {}</label>{}',
            unit.id_for_label,
            field.label,
            _control(unit),
        )
    )
    return filled(
        '{}\n    <div class="number{}">\n      {}\n      {}\n    </div>\n    {}',
        _errors(unit) if unit is not None else NOTHING,
        " number-small" if is_small else "",
        decimal_keys(field),
        beside,
        NOTHING
        if unit is None
        else filled(
            '<output class="converted" data-converted-for="{}" for="{}"></output>',
            field.id_for_label,
            field.id_for_label,
        ),
    )


@dataclass(frozen=True, slots=True)
class Problem:
    """One error for the summary, with the id of the control to go to (empty: nothing to go to)."""

    target: str
    label: str
    text: str


def _target(field: BoundField) -> str:
    if field.is_hidden:
        return ""
    return field.id_for_label or (f"{field.auto_id}_0" if field.auto_id else "")


def _form_problems(form: BaseForm) -> Iterator[Problem]:
    for text in form.non_field_errors():
        yield Problem("", "", str(text))
    for field in form:
        is_tick = isinstance(field.field.widget, CheckboxInput)  # its label is a sentence, and what it answers is below
        for text in field.errors:
            yield Problem(_target(field), "" if is_tick or field.is_hidden else str(field.label), str(text))


@register.inclusion_tag("components/problems.html")
def problems(*sources: BaseForm | BaseFormSet[Any] | list[BaseForm] | None) -> dict[str, Any]:
    """The error summary over any number of forms and formsets; nothing is shown when nothing is wrong."""
    found: list[Problem] = []
    for source in sources:
        if isinstance(source, BaseFormSet):
            if not source.is_bound:
                continue
            found += [Problem("", "", str(text)) for text in source.non_form_errors()]
            for form in source.forms:
                found += _form_problems(form)
        else:
            for form in source if isinstance(source, list) else [source]:
                if form is not None and form.is_bound:
                    found += _form_problems(form)
    return {
        "problems": found,
        "ticks": open_questions() if found else [],
        "answered": answered_questions() if found else [],
        "asked_name": FIELD,
    }
