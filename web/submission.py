"""How the pages of this floor act: permission and form are the page's, the refusal is shown where it belongs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from commands.refusals import Conflict, Refused
from web.texts import is_sound
from web.versions import Version, Versioned, after_conflict, both_versions

Made = TypeVar("Made")


class Submission:
    """One sending of a form: whether it went through, and what to show when it did not."""

    def __init__(self, request: HttpRequest, form: BaseForm, *, record: Versioned | None = None) -> None:
        self.request = request
        self.form = form
        self.record = record
        self.context: dict[str, Any] = {"form": form}
        self.status = 200

    def save(self, act: Callable[[], object], *, is_valid: bool | None = None) -> bool:
        """Whether the form was sent, is right, and the action took it."""
        if self.request.method != "POST":
            return False
        self.status = 422
        sound = is_sound(self.form)
        if not sound or is_valid is False:
            return False
        try:
            act()
        except Conflict as conflict:
            self._show_both(conflict)
            return False
        except Refused as refusal:
            show_refusal(self.form, refusal)
            return False
        return True

    def _show_both(self, conflict: Conflict) -> None:
        """Put the two versions side by side; sending the form again saves over the other one, knowingly."""
        self.status = 409
        rows = both_versions(self.form, conflict)
        rows += [
            Version(name.capitalize(), str(theirs), str(conflict.mine[name]))
            for name, theirs in conflict.theirs.items()
            if name not in self.form.fields and name in {"phones", "emails"}
        ]
        self.context["conflict"] = {"who": conflict.by, "rows": rows}
        if self.record is not None:
            now = type(self.record)._default_manager.only("version").get(pk=self.record.pk)
            after_conflict(self.form, version_now=now.version)

    def page(self, template: str, **context: Any) -> HttpResponse:
        """The page with the form, and whatever it has to say."""
        return render(self.request, template, {**self.context, **context}, status=self.status)


def accepted(form: BaseForm, act: Callable[[], Made]) -> Made | None:
    """What the action made of a form that is right; None where the form, or the action, refused, and says why."""
    if not is_sound(form):
        return None
    try:
        return act()
    except Refused as refusal:
        show_refusal(form, refusal)
        return None


def attempted(request: HttpRequest, act: Callable[[], object]) -> bool:
    """Whether the action behind a button was done; if not, the next page begins with the reason."""
    try:
        act()
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return False
    return True


def show_refusal(form: BaseForm, refusal: Refused) -> None:
    """Put each sentence beside its field, what has no field that shows on top, and nothing twice."""
    on_top = []
    for name, sentence in refusal.fields.items():
        if name in form.fields and not form.fields[name].widget.is_hidden:
            form.add_error(name, sentence)
        else:
            on_top.append(sentence)
    if on_top or not refusal.fields:
        form.add_error(None, " ".join(dict.fromkeys([refusal.sentence, *on_top])))
