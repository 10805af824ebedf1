"""A report rests on alarms, limits and shutdowns that were changed on another job and not set back."""

from __future__ import annotations

from datetime import date, timedelta

from findings.happenings.actions import log_setting, set_back_setting
from findings.reports.corrected_since import corrected_since, entered_since
from tests.findings import story
from vessels.actions import amend_text

ALARM = {"setting": "Coolant alarm", "sort": "alarm", "before": "203", "after": "194", "unit": "°F", "text": "Earlier",
         "authority": "The owner", "consent_by": "Wes Harrow", "consent_on": date(2025, 4, 1),
         "consent_how": "by phone"}  # fmt: skip
IDLE = {"setting": "Idle speed", "sort": "other", "before": "600", "after": "650", "unit": "rpm", "text": "Stalls",
        "authority": "The owner"}  # fmt: skip


def test_what_is_corrected_or_entered_of_them_later_is_told(cast, job, issue):
    other = story.open_job(cast)
    told = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "job": other, "happened_at": story.at(1)}
    alarm, idle = log_setting(**told, **ALARM), log_setting(**told, **IDLE)
    report = issue(job)
    amend_text(by=cast.desk, entry=idle.entry, text="675 rpm.")
    assert corrected_since(report) == []  # it is told on its own job alone
    amend_text(by=cast.desk, entry=alarm.entry, text="195 °F.")
    assert [one.entry for one in corrected_since(report)] == [alarm.entry]
    late = log_setting(**told | {"happened_at": story.at(1) + timedelta(hours=1)}, **ALARM | {"setting": "Oil limit"})
    log_setting(**told | {"happened_at": story.at(1) + timedelta(hours=2)}, **IDLE | {"setting": "Trim"})
    assert [one.entry for one in entered_since(report)] == [late.entry]
    back = set_back_setting(by=cast.tech, change=late, value="203", happened_at=story.at(2))
    assert [one.entry for one in entered_since(report)] == [late.entry, back.entry]
