"""How the pages of this floor act: permission and form are the page's, the refusal is shown where it belongs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models import Model
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from commands.refusals import Conflict, Refused
from web.versions import Version, after_conflict, both_versions


class Submission:
    """One sending of a form: whether it went through, and what to show when it did not."""

    def __init__(self, request: HttpRequest, form: BaseForm, *, record: Model | None = None) -> None:
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
        if not (self.form.is_valid() if is_valid is None else is_valid):
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
            after_conflict(self.form, version_now=now.version)  # type: ignore[attr-defined]

    def page(self, template: str, **context: Any) -> HttpResponse:
        """The page with the form, and whatever it has to say."""
        return render(self.request, template, {**self.context, **context}, status=self.status)


def show_refusal(form: BaseForm, refusal: Refused) -> None:
    """Put a refusal where the person can mend it, and nothing twice."""
    placed = False
    for name, sentence in refusal.fields.items():
        if name in form.fields and not form.fields[name].widget.is_hidden:
            form.add_error(name, sentence)
            placed = True
        else:
            form.add_error(None, f"{refusal.sentence} {sentence}")
            return
    if not placed:
        form.add_error(None, refusal.sentence)
