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
from django.utils.html import conditional_escape as escaped
from django.utils.safestring import SafeString, mark_safe

Widget = Mapping[str, Any]


class DrawnControls(TemplatesSetting):
    """The house's renderer of forms."""

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> SafeString:
        """The markup of a control, a field or a form."""
        draw = _DRAWN.get(template_name)
        if draw is None:
            return mark_safe(super().render(template_name, context, request))
        return mark_safe(draw(context["widget"]))


def _attributes(attrs: Mapping[str, Any]) -> str:
    return "".join(
        [
            f" {escaped(name)}" if value is True else f' {escaped(name)}="{_text(value)}"'
            for name, value in attrs.items()
            if value is not False
        ]
    )


def _text(value: Any) -> str:
    return escaped(value if isinstance(value, str) else str(value))


def _input(widget: Widget) -> str:
    value = "" if widget["value"] is None else f' value="{_text(widget["value"])}"'
    attributes = _attributes(widget["attrs"])
    return f'<input type="{escaped(widget["type"])}" name="{escaped(widget["name"])}"{value}{attributes}>'


def _textarea(widget: Widget) -> str:
    value = escaped(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{escaped(widget["name"])}"{_attributes(widget["attrs"])}>\n{value}</textarea>'


def _select(widget: Widget) -> str:
    groups = [
        _in_group("optgroup", name, "".join([_option(option) for option in options]))
        for name, options, _ in widget["optgroups"]
    ]
    return f'<select name="{escaped(widget["name"])}"{_attributes(widget["attrs"])}>{"".join(groups)}</select>'


def _in_group(element: str, name: Any, options: str) -> str:
    return f'<{element} label="{escaped(name)}">{options}</{element}>' if name else options


def _option(widget: Widget) -> str:
    attributes = _attributes(widget["attrs"])
    return f'<option value="{_text(widget["value"])}"{attributes}>{escaped(widget["label"])}</option>'


def _choices(widget: Widget) -> str:
    """Radio buttons or check boxes, each in its label."""
    attrs = widget["attrs"]
    head = f' id="{_text(attrs["id"])}"' if attrs.get("id") else ""
    head += f' class="{_text(attrs["class"])}"' if attrs.get("class") else ""
    parts = [
        (f"<div><label>{escaped(name)}</label>" if name else "")
        + "".join([f"<div>{_choice(option)}</div>" for option in options])
        + ("</div>" if name else "")
        for name, options, _ in widget["optgroups"]
    ]
    return f"<div{head}>{''.join(parts)}</div>"


def _choice(widget: Widget) -> str:
    if not widget["wrap_label"]:
        return _input(widget)
    whose = f' for="{_text(widget["attrs"]["id"])}"' if widget["attrs"].get("id") else ""
    return f"<label{whose}>{_input(widget)} {escaped(widget['label'])}</label>"


_INPUTS = ("checkbox", "date", "datetime", "email", "hidden", "input", "number", "password", "text", "time", "url")
_DRAWN: dict[str, Callable[[Widget], str]] = {
    **{f"django/forms/widgets/{name}.html": _input for name in _INPUTS},
    "django/forms/widgets/textarea.html": _textarea,
    "django/forms/widgets/select.html": _select,
    "django/forms/widgets/radio.html": _choices,
    "django/forms/widgets/checkbox_select.html": _choices,
}
