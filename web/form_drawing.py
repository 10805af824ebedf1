"""Draws the controls of forms.

Django draws each control from templates within templates, one for every option and every attribute: a form of ten
fields takes as long as ten queries. The usual controls are drawn here as those templates draw them; all others, and
forms and fields themselves, come from templates as ever.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.forms.renderers import TemplatesSetting
from django.http import HttpRequest
from django.utils.safestring import SafeString

from web.markup import NOTHING, attributes, filled, joined

Widget = Mapping[str, Any]


class DrawnControls(TemplatesSetting):
    """The house's renderer of forms."""

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        """The markup of a control, a field or a form; Django marks what its renderer gives as safe."""
        draw = _DRAWN.get(template_name)
        return super().render(template_name, context, request) if draw is None else draw(context["widget"])


def _input(widget: Widget) -> SafeString:
    value = NOTHING if widget["value"] is None else filled(' value="{}"', widget["value"])
    return filled('<input type="{}" name="{}"{}{}>', widget["type"], widget["name"], value, attributes(widget["attrs"]))


def _textarea(widget: Widget) -> SafeString:
    value = widget["value"] or ""
    return filled('<textarea name="{}"{}>\n{}</textarea>', widget["name"], attributes(widget["attrs"]), value)


def _select(widget: Widget) -> SafeString:
    groups = [
        _in_group(name, joined([_option(option) for option in options])) for name, options, _ in widget["optgroups"]
    ]
    return filled('<select name="{}"{}>{}</select>', widget["name"], attributes(widget["attrs"]), joined(groups))


def _in_group(name: Any, options: SafeString) -> SafeString:
    return filled('<optgroup label="{}">{}</optgroup>', name, options) if name else options


def _option(widget: Widget) -> SafeString:
    return filled('<option value="{}"{}>{}</option>', widget["value"], attributes(widget["attrs"]), widget["label"])


def _choices(widget: Widget) -> SafeString:
    """Radio buttons or check boxes, each in its label."""
    attrs = widget["attrs"]
    head = attributes({name: attrs[name] for name in ("id", "class") if attrs.get(name)})
    return filled("<div{}>{}</div>", head, joined([_group(name, options) for name, options, _ in widget["optgroups"]]))


def _group(name: Any, options: list[Widget]) -> SafeString:
    drawn = joined([filled("<div>{}</div>", _choice(option)) for option in options])
    return filled("<div><label>{}</label>{}</div>", name, drawn) if name else drawn


def _choice(widget: Widget) -> SafeString:
    if not widget["wrap_label"]:
        return _input(widget)
    whose = filled(' for="{}"', widget["attrs"]["id"]) if widget["attrs"].get("id") else NOTHING
    return filled("<label{}>{} {}</label>", whose, _input(widget), widget["label"])


_INPUTS = ("checkbox", "date", "datetime", "email", "hidden", "input", "number", "password", "text", "time", "url")
_DRAWN: dict[str, Callable[[Widget], SafeString]] = {
    **{f"django/forms/widgets/{name}.html": _input for name in _INPUTS},
    "django/forms/widgets/textarea.html": _textarea,
    "django/forms/widgets/select.html": _select,
    "django/forms/widgets/radio.html": _choices,
    "django/forms/widgets/checkbox_select.html": _choices,
}
