"""What is said of settings, and when two values of one are the same."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

from engineering.measures import MeasureProblem, parse_number
from findings.happenings.models import ConsentHow, SettingChange, SettingSort
from findings.happenings.wording import one_line
from vessels.wording import date_words

_FIGURE = re.compile(r"[-+−]?\s*[\d½¼¾.]")
SORTS = {
    SettingSort.ALARM: "alarm",
    SettingSort.LIMIT: "limit",
    SettingSort.SHUTDOWN: "shutdown",
    SettingSort.OTHER: "",
}


def with_unit(value: str, unit: str) -> str:
    """A value with its unit, where it is a figure: "210 °F", "off"."""
    return f"{value} {unit}" if unit and _FIGURE.match(value) else value


def named(setting: str, sort: str) -> str:
    """A setting with what it is of: "Overheat, panel (alarm)"; what the name says already is not said twice."""
    word = SORTS[SettingSort(sort)]
    return f"{setting} ({word})" if word and word not in setting.lower() else setting


def same_value(one: str, other: str) -> bool:
    """Whether two values are the same: as figures, else as words."""
    first, second = _figure(one), _figure(other)
    if first is not None and second is not None:
        return first == second
    return one_line(one).casefold() == one_line(other).casefold()


def _figure(value: str) -> Decimal | None:
    try:
        return parse_number(value)
    except MeasureProblem:
        return None


def consent_words(who: str, on: date | None, how: str) -> str:
    """Who consented, how and when: "Wes Harrow, by phone, Nov 3, 2026"; empty where nobody did."""
    if not who or on is None:
        return ""
    return f"{who}, {ConsentHow(how).label.lower()}, {date_words(on)}"


def change_words(change: SettingChange) -> str:
    """From what to what: "210 °F, before 200 °F"; "before not known" where nobody read it."""
    before = with_unit(change.before, change.unit) or "not known"
    return f"{with_unit(change.after, change.unit)}, before {before}"


def change_summary(change: SettingChange) -> str:
    """The entry's line, with authority and consent."""
    consent = consent_words(change.consent_by, change.consent_on, change.consent_how)
    said = f"{named(change.setting, change.sort)}: {change_words(change)}. Authority: {change.authority.rstrip('.')}."
    return f"{said} Consent: {consent}." if consent else said


def back_summary(change: SettingChange, value: str) -> str:
    """The line of an entry that sets one back."""
    return f"{named(change.setting, change.sort)}: set back to {with_unit(value, change.unit)}."
