"""A setting that was changed permanently, and that it was set back: what is kept, refused, told, and until when."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.refusals import NOTHING_DIFFERS, Refused
from findings.happenings.actions import log_setting, set_back_setting
from findings.happenings.kinds import SET_BACK, SETTING
from findings.happenings.models import SettingBack, SettingChange, SettingSort
from findings.happenings.setting_words import SORTS, change_summary, same_value, with_unit
from findings.happenings.standing import standing, standing_protections
from findings.reports.build import build_findings
from findings.reports.gaps import gaps
from findings.reports.models import ReportDraft
from findings.reports.record import SORTS as SORTS_ON_PAPER
from tests.cast import Cast
from tests.findings.story import at, open_job
from vessels.actions import retract
from vessels.log.verify import broken_link
from vessels.models import LogEntry, Vessel
from workorders.models import Job

IDLE = {"setting": "Idle speed", "sort": "other", "before": "600", "after": "650", "unit": "rpm",
        "text": "It stalled in gear", "authority": "The owner"}  # fmt: skip
ALARM = {"setting": "Coolant alarm", "sort": "alarm", "before": "200", "after": "210", "unit": "°F",
         "text": "Sounds at full load", "authority": "Bulletin 9", "consent_by": "Wes Harrow",
         "consent_on": date(2025, 4, 1), "consent_how": "by phone"}  # fmt: skip


def log(cast: Cast, job: Job | None, **more: Any) -> SettingChange:
    told = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "job": job, "happened_at": at(1), **more}
    return log_setting(**told)


def back(cast: Cast, change: SettingChange, value: str, **more: Any) -> SettingBack:
    return set_back_setting(**{"by": cast.tech, "change": change, "value": value, **more})


# ---- sentences


SAID: list[tuple[dict[str, Any], str]] = [
    (IDLE, "Idle speed: 650 rpm, before 600 rpm. Authority: The owner."),
    (ALARM, "Coolant alarm: 210 °F, before 200 °F. Authority: Bulletin 9. Consent: Wes Harrow, by phone, Apr 1, 2025."),
    (ALARM | {"setting": "Coolant, panel"},
     "Coolant, panel (alarm): 210 °F, before 200 °F. Authority: Bulletin 9. "
     "Consent: Wes Harrow, by phone, Apr 1, 2025."),
    (IDLE | {"before": ""}, "Idle speed: 650 rpm, before not known. Authority: The owner."),
    (IDLE | {"setting": "Buzzer", "before": "on", "after": "off"},
     "Buzzer: off, before on. Authority: The owner."),
    (IDLE | {"setting": "Trim limit", "before": "off", "after": "12", "unit": "°"},
     "Trim limit: 12 °, before off. Authority: The owner."),
    (IDLE | {"before": "1/8", "after": ".25", "unit": "in"},
     "Idle speed: .25 in, before 1/8 in. Authority: The owner."),
    (IDLE | {"before": "-5", "after": "5,200"}, "Idle speed: 5,200 rpm, before -5 rpm. Authority: The owner."),
    (ALARM | {"sort": "shutdown", "setting": "Low oil", "consent_how": "in writing", "authority": "The maker."},
     "Low oil (shutdown): 210 °F, before 200 °F. Authority: The maker. "
     "Consent: Wes Harrow, in writing, Apr 1, 2025."),
]  # fmt: skip


@pytest.mark.parametrize(("told", "said"), SAID)
def test_the_entry_says_from_what_to_what_by_whose_word(told: dict[str, Any], said: str) -> None:
    columns = {name: value for name, value in told.items() if name != "text"}
    assert change_summary(SettingChange(**columns)) == said


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("200", "200.0", True), ("200", "200,0", True), ("1/2", "0.5", True), ("off", "Off ", True),
        ("200", "201", False), ("off", "0", False), ("on", "off", False), ("", "0", False), ("1/2", "1/8", False),
    ],
)  # fmt: skip
def test_when_two_values_are_the_same(one: str, other: str, is_same: bool) -> None:
    assert same_value(one, other) is same_value(other, one) is is_same


def test_a_unit_stands_beside_figures_alone() -> None:
    assert [with_unit(value, "°F") for value in ("200", "−5", "½", "off", "auto 2")] == [
        "200 °F", "−5 °F", "½ °F", "off", "auto 2",
    ]  # fmt: skip


def test_the_paper_has_the_same_sorts() -> None:
    assert tuple(SORTS[one].capitalize() for one in SettingSort) == SORTS_ON_PAPER


CONSENT = "An alarm, a limit or a shutdown is changed only with the customer’s consent: say "
REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "no setting": (IDLE | {"setting": ""}, "setting", "Say which setting it is."),
    "no value": (IDLE | {"after": " "}, "after", "Say what it is set to now."),
    "no reason": (IDLE | {"text": ""}, "text", "Say why it was changed."),
    "no authority": (IDLE | {"authority": ""}, "authority", "Say who or what allows it"),
    "no sort": (IDLE | {"sort": ""}, "sort", "Choose whether it is an alarm, a limit or a shutdown."),
    "a sort that is none": (IDLE | {"sort": "lamp"}, "sort", "Choose one of the list."),
    "nothing changed": (IDLE | {"after": "600.0"}, "after", "This is what it was before: nothing was changed."),
    "an alarm without consent": (
        ALARM | {"consent_by": "", "consent_on": None, "consent_how": ""}, "consent_by", f"{CONSENT}who gave it.",
    ),
    "a limit without the day": (ALARM | {"sort": "limit", "consent_on": None}, "consent_on", f"{CONSENT}on which day."),
    "a shutdown, not how": (ALARM | {"sort": "shutdown", "consent_how": ""}, "consent_how", f"{CONSENT}how."),
    "an alarm without a reason": (ALARM | {"text": " "}, "text", "Say why it was changed."),
    "half a consent": (IDLE | {"consent_by": "Wes"}, "consent_on", "A consent is told whole: say on which day"),
    "a way that is none": (ALARM | {"consent_how": "by owl"}, "consent_how", "Choose one of the list."),
    "consent after it": (
        ALARM | {"consent_on": date(2025, 4, 3)}, "consent_on",
        "The change was on Apr 2, 2025: consent comes before it, or on that day.",
    ),
    "very long": (IDLE | {"after": "9" * 81}, "after", "81 characters are too many"),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_is_refused_beside_its_field(cast: Cast, job: Job, what: str) -> None:
    told, field, sentence = REFUSED[what]
    with pytest.raises(Refused) as refusal:
        log(cast, job, **told)
    assert refusal.value.fields[field].startswith(sentence)
    assert not SettingChange.objects.exists()


def test_who_may_and_on_which_boat(cast: Cast, job: Job) -> None:
    other = Vessel.objects.create(name="Tern", owner=cast.customer)
    with pytest.raises(Refused, match="in another boat"):
        log(cast, job, **IDLE, engine=other.engines.create(position="single"))
    with pytest.raises(Refused, match="role"):
        log(cast, job, **IDLE, by=cast.desk)
    with pytest.raises(Refused, match="role"):
        back(cast, log(cast, job, **IDLE), "600", by=cast.desk)


def test_a_change_back_belongs_to_the_first_change(cast: Cast, job: Job) -> None:
    log(cast, job, **ALARM)
    with pytest.raises(Refused) as refusal:
        log(cast, job, **ALARM | {"setting": "coolant  ALARM", "before": "210", "after": "200"}, happened_at=at(2))
    assert refusal.value.fields["after"] == (
        "This is what it was before it was changed on Apr 2, 2025. Log it as set back, beside that entry on Findings."
    )
    log(cast, job, **ALARM | {"before": "210", "after": "200"}, engine=cast.starboard)  # another engine's


# ---- setting back


def test_it_stands_until_it_is_set_back(cast: Cast, job: Job) -> None:
    alarm, idle = log(cast, job, **ALARM), log(cast, job, **IDLE)
    assert standing(cast.vessel) == [alarm, idle]
    assert standing_protections(cast.vessel) == [alarm]
    made = back(cast, alarm, "200", happened_at=at(5), job=job, text="New thermostat", engine_hours=Decimal(500))
    entry = made.entry
    assert (entry.kind, entry.summary, entry.engine_id) == (
        SET_BACK,
        "Coolant alarm: set back to 200 °F.",
        cast.port.pk,
    )
    assert standing(cast.vessel) == [idle]
    assert standing(cast.vessel, at(4)) == [alarm, idle]
    with pytest.raises(Refused, match=r"It was already set back by Tomas Reef, Apr 6, 2025\."):
        back(cast, alarm, "200")
    retract(by=cast.tech, entry=entry, reason="Another boat")
    assert standing_protections(cast.vessel) == [alarm]
    assert broken_link(Vessel.objects.get(pk=cast.vessel.pk)) is None


def test_what_is_no_setting_back_is_refused(cast: Cast, job: Job) -> None:
    alarm = log(cast, job, **ALARM)
    for value, more, field, sentence in [
        ("", {}, "value", "Say what it is set to now."),
        ("205", {}, "value",
         "Before the change it was 200 °F. If it is something else now, log that as another change."),
        ("200", {"happened_at": at(0.5)}, "happened_at", "The setting was changed at Apr 2, 2025"),
        ("200", {"happened_at": timezone.now() + timedelta(days=3)}, "happened_at", "Enter a time in the past."),
        ("2" * 81, {}, "value", "81 characters are too many"),
    ]:  # fmt: skip
        with pytest.raises(Refused) as refusal:
            back(cast, alarm, value, **more)
        assert refusal.value.fields[field].startswith(sentence)
    retract(by=cast.tech, entry=alarm.entry, reason="Another boat")
    with pytest.raises(Refused, match="This entry was already voided"):
        back(cast, alarm, "200")
    assert not SettingBack.objects.exists()


def test_set_back_past_two_changes_ends_both_and_past_one_ends_one(cast: Cast, job: Job) -> None:
    first = log(cast, job, **ALARM)
    second = log(cast, job, **ALARM | {"before": "210", "after": "220"}, happened_at=at(2))
    one = back(cast, second, "210", happened_at=at(3))
    assert standing(cast.vessel) == [first]
    retract(by=cast.tech, entry=one.entry, reason="Slip")
    back(cast, second, "200.0", happened_at=at(4))
    assert standing(cast.vessel) == []


def test_set_back_to_what_came_between_leaves_the_first_and_is_refused_of_it(cast: Cast, job: Job) -> None:
    first = log(cast, job, **ALARM)
    log(cast, job, **ALARM | {"before": "210", "after": "220"}, happened_at=at(2))
    with pytest.raises(Refused, match="Before the change it was 200 °F"):
        back(cast, first, "210", happened_at=at(3))


def test_where_nobody_read_what_it_was_any_value_may_be_it(cast: Cast, job: Job) -> None:
    made = log(cast, job, **ALARM | {"before": ""})
    back(cast, made, "198", happened_at=at(3))
    assert standing(cast.vessel) == []


def test_a_corrected_change_stays_one_change(cast: Cast, job: Job) -> None:
    wrong = log(cast, job, **ALARM)
    with pytest.raises(Refused) as refusal:
        log(cast, job, **ALARM, amends=wrong.entry)
    assert refusal.value.sentence == NOTHING_DIFFERS
    right = log(cast, job, **ALARM | {"after": "212"}, amends=wrong.entry)
    again = log(cast, job, **ALARM | {"after": "213"}, amends=right.entry)
    assert again.first_id == wrong.pk
    assert standing(cast.vessel) == [again]
    back(cast, again, "200", happened_at=at(3))
    assert standing(cast.vessel) == []
    later = log(cast, job, **ALARM | {"after": "214"}, amends=again.entry)
    assert standing(cast.vessel) == []  # it was set back, whatever is corrected of it later
    assert later.root_id == wrong.pk


def test_sent_twice_each_is_there_once(cast: Cast, job: Job) -> None:
    key, other = uuid4(), uuid4()
    alarm = log(cast, job, **ALARM, entry_id=key)
    assert log(cast, job, **ALARM, entry_id=key) == alarm
    assert back(cast, alarm, "200", entry_id=other) == back(cast, alarm, "200", entry_id=other)
    assert LogEntry.objects.filter(kind__in=[SETTING, SET_BACK]).count() == 2


# ---- by the pages


def form_of(cast: Cast, told: dict[str, Any], **more: str) -> dict[str, str]:
    return {"entry_id": str(uuid4()), "engine": str(cast.port.pk), **{k: str(v) for k, v in told.items()}, **more}


def test_pages_without_scripts_log_it_and_set_it_back(tech: Client, cast: Cast, job: Job) -> None:
    told = form_of(cast, ALARM | {"consent_on": "2025-04-01"}, happened_at="2025-04-02T10:00")
    answer = tech.post(reverse("findings:setting", args=[job.number]), told)
    assert answer.status_code == 302
    made = SettingChange.objects.get()
    later = open_job(cast, 20)
    page = tech.get(reverse("findings:job", args=[later.number])).content.decode()
    assert "Changed and not set back" in page
    assert "Coolant alarm: 210 °F, before 200 °F." in page
    assert "Changed and not set back" in tech.get(reverse("vessels:vessel", args=[cast.vessel.pk])).content.decode()
    address = reverse("findings:set_back", args=[later.number, made.pk])
    assert address in page
    page = tech.get(address).content.decode()
    assert "Before the change it was 200 °F." in page
    wrong = tech.post(address, {"entry_id": str(uuid4()), "value": "205", "text": "Was asked for"})
    assert wrong.status_code == 422
    assert "If it is something else now, log that as another change." in wrong.content.decode()
    assert "Was asked for" in wrong.content.decode()
    assert tech.post(address, {"entry_id": str(uuid4()), "value": "200"}).status_code == 302
    page = tech.get(reverse("findings:job", args=[later.number])).content.decode()
    assert "Changed and not set back" not in page
    assert "Coolant alarm: set back to 200 °F." in page
    assert "It was already set back by Tomas Reef" in tech.get(address).content.decode()


def test_another_boats_setting_is_not_there(tech: Client, cast: Cast, job: Job) -> None:
    other = Vessel.objects.create(name="Tern", owner=cast.customer)
    made = log(cast, None, **ALARM, vessel=other, engine=None)
    assert tech.get(reverse("findings:set_back", args=[job.number, made.pk])).status_code == 404
    with pytest.raises(Refused, match="is for another boat"):
        back(cast, made, "200", job=job)


def test_what_was_typed_is_kept_beside_the_sentence(tech: Client, cast: Cast, job: Job) -> None:
    answer = tech.post(reverse("findings:setting", args=[job.number]), form_of(cast, ALARM | {"consent_on": ""}))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f"{CONSENT}on which day." in page
    for word in ["Coolant alarm", "Sounds at full load", "Bulletin 9", "Wes Harrow"]:
        assert word in page


def test_a_consent_of_long_ago_is_asked_about_once(tech: Client, cast: Cast, job: Job) -> None:
    told = form_of(cast, ALARM | {"consent_on": "2020-04-01"}, happened_at="2025-04-02T10:00")
    answer = tech.post(reverse("findings:setting", args=[job.number]), told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "This is more than a year before the change of Apr 2, 2025." in page
    key = page.split('name="asked" value="')[1].split('"')[0]
    assert tech.post(reverse("findings:setting", args=[job.number]), told | {"asked": key}).status_code == 302


# ---- in the report


def told(job: Job, cast: Cast) -> list[tuple[str, str, str, str]]:
    draft = ReportDraft.objects.create(job=job, started_by=cast.tech)
    found = build_findings(draft)
    draft.delete()
    return [(one.setting, one.job, one.set_back_to, one.sort) for one in found.settings]


def test_a_protection_stands_on_every_report_until_it_is_set_back(cast: Cast, job: Job) -> None:
    alarm = log(cast, job, **ALARM)
    log(cast, job, **IDLE)
    number = str(job.number)
    assert told(job, cast) == [("Coolant alarm", number, "", "Alarm"), ("Idle speed", number, "", "")]
    second, third = open_job(cast, 10), open_job(cast, 20)
    assert told(second, cast) == [("Coolant alarm", number, "", "Alarm")]
    draft = ReportDraft.objects.create(job=second, started_by=cast.tech)
    asked = [one for one in gaps(build_findings(draft), second) if "not set back" in one]
    assert asked == ["Alarm “Coolant alarm”, port: changed to 210 °F on Apr 2, 2025, and not set back."]
    draft.delete()
    back(cast, alarm, "200", job=second, happened_at=at(12))
    assert told(second, cast) == [("Coolant alarm", number, "200 °F", "Alarm")]
    assert told(third, cast) == []
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=at(3))
    assert told(Job.objects.get(pk=job.pk), cast)[0] == ("Coolant alarm", number, "", "Alarm")  # as at that job


def test_an_engine_that_was_removed_has_no_settings_on_later_reports(cast: Cast, job: Job) -> None:
    log(cast, job, **ALARM)
    cast.port.removed_on = at(5).date()
    cast.port.save()
    assert told(open_job(cast, 10), cast) == []
    assert standing_protections(cast.vessel) == []
