"""Words of appointments for templates."""

from __future__ import annotations

from datetime import time

from django import template

from vessels.wording import label_of, told_words
from workorders.appointments.models import Appointment, AppointmentChange
from workorders.appointments.times import clock_words, lasting_words

register = template.Library()


@register.filter
def change_words(step: AppointmentChange) -> list[str]:
    """What a change changed, a sentence for each field: “Time: 9:00 AM, before 10:00 AM”."""
    return [
        f"{_label(name)}: {_said(name, after)}, before: {_said(name, before)}"
        for name, (before, after) in step.changes.items()
    ]


def _label(name: str) -> str:
    return label_of(Appointment(), name)


def _said(name: str, stored: str) -> str:
    if not stored:
        return "none"
    try:
        if name == "at":
            return clock_words(time.fromisoformat(stored))
        if name == "minutes":
            return lasting_words(int(stored))
    except ValueError:
        return stored
    choices = dict(getattr(Appointment._meta.get_field(name), "flatchoices", None) or [])
    return str(choices.get(stored, told_words(stored)))
