"""Saving a record that two people may have open at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar

from django import forms
from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.db import models
from django.forms.utils import pretty_name

from commands.content import named
from commands.envelope import tell, tell_unchanged
from commands.refusals import Conflict
from engineering.canonical import plain_decimal


class Versioned(models.Model):
    """A record that two people may have open at once: how often it was saved, and by whom the last time."""

    version = models.PositiveIntegerField(default=1, editable=False)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, editable=False, related_name="+"
    )

    class Meta:
        abstract = True


M = TypeVar("M", bound=Versioned)


def apply_changes(
    instance: M, *, seen_version: int, changes: Mapping[str, Any], by: AbstractBaseUser
) -> dict[str, tuple[Any, Any]]:
    """Save ``changes`` if nobody saved the record since ``seen_version``; call inside a transaction.

    A field of several records takes a list as ``held`` gives it.
    Returns ``{field: (before, after)}`` of what really changed.

    Raises:
        Conflict: somebody else changed a field to something else in the meantime. Nothing is written.
    """
    stored = type(instance)._default_manager.select_for_update(of=("self",)).get(pk=instance.pk)
    before = {name: held(stored, name) for name in changes}
    differing = {name: value for name, value in changes.items() if before[name] != value}
    if stored.version != seen_version and differing:
        raise Conflict(
            "Somebody saved this while you were typing. Nothing of yours is lost: compare both below, then save again.",
            theirs={name: before[name] for name in differing},
            mine=differing,
            by=str(stored.changed_by or "somebody else"),
        )
    changed = {name: (before[name], value) for name, value in differing.items()}
    if changed:
        for name, value in differing.items():
            if stored._meta.get_field(name).many_to_many:
                getattr(stored, name).set(value)
            else:
                setattr(stored, name, value)
        stored.version += 1
        stored.changed_by_id = by.pk
        stored.save()
        tell(**{name: told_of(stored, name, *values) for name, values in changed.items()})
    else:
        tell_unchanged()
    instance.refresh_from_db()
    return changed


def held(record: models.Model, name: str) -> Any:
    """What a field holds; of one that holds several records, these as a list in order of their keys."""
    if record._meta.get_field(name).many_to_many:
        return sorted(getattr(record, name).all(), key=lambda one: one.pk)
    return getattr(record, name)


def told_of(record: models.Model, name: str, before: object, after: object) -> list[str | None]:
    """What the journal keeps of a change: figures, choices and yes or no before and after; of a text only that it is.

    A journal that is never changed is no place for names, addresses and remarks of people: of a record that is chosen
    it keeps which one, and the page says what that is called now.
    """
    field = record._meta.get_field(name)
    if isinstance(field, models.ForeignKey):
        return [named(value) if isinstance(value, models.Model) else None for value in (before, after)]
    is_plain = isinstance(field, models.DecimalField | models.IntegerField | models.BooleanField | models.DateField)
    if not is_plain and not getattr(field, "choices", None):
        return []
    return [None if value is None else _plain(value) for value in (before, after)]


def _plain(value: object) -> str:
    return plain_decimal(value) if isinstance(value, Decimal) else str(value)


@dataclass(frozen=True)
class Version:
    """One field that two people saved differently, for ``components/conflict.html``."""

    label: str
    theirs: str
    yours: str
    differs: bool = True


def both_versions(form: forms.BaseForm, conflict: Conflict) -> list[Version]:
    """What they saved beside what was typed, in the form's own words."""
    return [
        Version(name_of(form, name), _said(form, name, theirs), _said(form, name, conflict.mine[name]))
        for name, theirs in conflict.theirs.items()
        if name in form.fields
    ]


def name_of(form: forms.BaseForm, name: str) -> str:
    """What the form calls a field; one without a label of its own is called by its name, as on the page."""
    return str(form.fields[name].label or pretty_name(name))


def _said(form: forms.BaseForm, name: str, value: object) -> str:
    field = form.fields[name]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(str, value))
    if isinstance(value, Decimal):
        return str(field.prepare_value(value))
    choices = getattr(field.widget, "choices", None)
    for key, words in choices or []:
        if str(key) == str(value):
            return str(words)
    return "" if value is None else str(value)


def after_conflict(form: forms.BaseForm, *, version_now: int, field: str = "seen_version") -> None:
    """Let the next sending of the same form save over what the person has now been shown; nothing typed is lost."""
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    data[form.add_prefix(field)] = str(version_now)
    form.data = data
