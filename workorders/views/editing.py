"""Saving what two people may have open at once: both versions are shown, and the person chooses field by field."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from commands.refusals import Conflict, Refused
from web.submission import show_refusal
from web.texts import is_sound
from web.versions import both_versions, held
from workorders.forms.editing import SeenForm

KEEP = "keep-"


@dataclass(frozen=True)
class FieldConflict:
    """One field in two versions, for ``workorders/both.html``."""

    name: str
    label: str
    theirs: str
    mine: str


class SeenSubmission:
    """One sending of a form over a record: what to save, and both versions where somebody else was first."""

    def __init__(self, request: HttpRequest, form: SeenForm) -> None:
        self.request = request
        self.form = form
        self.status = 200
        self.context: dict[str, Any] = {"form": form}

    def changes(self) -> dict[str, Any]:
        """What the person changed, without the fields where they chose the other version."""
        return {
            name: value
            for name, value in self.form.changes().items()
            if self.request.POST.get(f"{KEEP}{name}") != "theirs"
        }

    def save(self, act: Callable[[dict[str, Any], dict[str, Any]], object]) -> bool:
        """Whether the form was sent, is right, and ``act(changes, seen)`` took it."""
        if self.request.method != "POST":
            return False
        self.status = 422
        if not is_sound(self.form):
            return False
        try:
            act(self.changes(), self.form.seen())
        except Conflict as conflict:
            self._show_both(conflict, self.form.seen())
            return False
        except Refused as refusal:
            show_refusal(self.form, refusal)
            return False
        return True

    def _show_both(self, conflict: Conflict, seen: Mapping[str, Any]) -> None:
        """Show both versions. The next sending builds on what the person is shown now."""
        self.status = 409
        rows = both_versions(self.form, conflict)
        names = [name for name in conflict.theirs if name in self.form.fields]
        both = [
            FieldConflict(name, row.label, row.theirs, row.yours)
            for name, row in zip(names, rows, strict=True)
            if name not in seen or seen[name] != conflict.theirs[name]
        ]
        self.context |= {"both": both, "who": conflict.by}
        stored = type(self.form.record)._default_manager.get(pk=self.form.record.pk)
        data = self.request.POST.copy()
        data[self.form.add_prefix("seen_version")] = str(stored.version)
        for name in self.form.record_fields:
            # What they saved is what this person has seen from here on. Fields that only they changed follow them.
            sent = _as_sent(self.form.fields[name].prepare_value(held(stored, name)))
            was_mine = name in self.form.changed_data
            data.setlist(self.form.add_initial_prefix(name), sent)
            if not was_mine:
                data.setlist(self.form.add_prefix(name), sent)
        self.form.data = data

    def page(self, template: str, **context: Any) -> HttpResponse:
        """The page with the form, and whatever it has to say."""
        return render(self.request, template, {**self.context, **context}, status=self.status)


def _as_sent(value: Any) -> list[str]:
    """A value as a form sends it; several of a field are sent one by one."""
    if isinstance(value, list):
        return [str(one) for one in value]
    return ["" if value is None else str(value)]


def version_of(form: forms.BaseForm) -> int:
    """The version that the person saw."""
    return int(form.cleaned_data["seen_version"])
