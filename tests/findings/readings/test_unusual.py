"""Values that cannot be are refused, and values that seldom are are asked about once, at every door they come by."""

from __future__ import annotations

import html
import re
import uuid
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.questions import asking, nobody_to_ask
from commands.refusals import Refused
from commands.replay import queued, replay
from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.queries import reading_row
from staff.queries import shop_profile
from tests.cast import Cast
from vessels.actions import log_hours
from vessels.models import LogEntry
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Will not rev up"])


@pytest.fixture
def tech(client: Client, cast: Cast) -> Client:
    client.force_login(cast.tech)
    return client


def shop_zone() -> ZoneInfo:
    return ZoneInfo(shop_profile().time_zone)


def named(name: str) -> Parameter:
    return Parameter.objects.get(name=name)


def typed(name: str, value: str, unit: str, **more: str) -> dict[str, str]:
    """The sheet with one value under “Something else”."""
    other = {"parameter": str(named(name).pk), "value": value, "unit": unit} | more
    return {"phase": "arrival", "entry_id": str(uuid.uuid4())} | {f"other-{key}": text for key, text in other.items()}


def asked_in(page: str) -> list[str]:
    """What the form can send back: a tick for each question, and what was ticked before."""
    found = re.findall(r'<input type="(?:checkbox|hidden)" name="asked" value="([^"]*)">', page)
    return [html.unescape(key) for key in found]


def sheet(cast: Cast, job: Job) -> str:
    return reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}"


def post(tech: Client, address: str, data: dict[str, Any]) -> tuple[int, str]:
    answer = tech.post(address, data)
    return answer.status_code, html.unescape(answer.content.decode())


def test_what_seldom_is_is_asked_once_kept_and_marked(tech, cast, job) -> None:
    data = typed("Engine speed", "62000", "rpm")
    status, page = post(tech, sheet(cast, job), data)
    assert (status, Reading.objects.count()) == (422, 0)
    assert (
        page.count("62000 rpm is far above the usual engine speed; seldom above 10000 rpm.") == 2
    )  # summary and field
    assert "Check the decimal point and the unit. To keep it, select it at the top and send this again." in page
    assert 'value="62000"' in page
    status, _ = post(tech, sheet(cast, job), data | {"asked": asked_in(page)})
    assert status == 302
    kept = Reading.objects.get()
    assert kept.value == 62000
    assert "far above the usual engine speed" in reading_row(kept).made_with.remark
    for shown in (reverse("findings:job", args=[job.number]), reverse("vessels:log", args=[cast.vessel.pk])):
        assert "Kept as it was written." in tech.get(shown).content.decode()


def test_another_value_is_another_question(tech, cast, job) -> None:
    _, page = post(tech, sheet(cast, job), typed("Engine speed", "62000", "rpm"))
    status, again = post(tech, sheet(cast, job), typed("Engine speed", "63000", "rpm") | {"asked": asked_in(page)})
    assert status == 422
    assert "63000 rpm is far above" in again


def test_what_cannot_be_is_refused_however_often_it_is_sent(tech, cast, job) -> None:
    data = typed("Oil pressure", "4800", "bar")
    for _ in range(3):
        status, page = post(tech, sheet(cast, job), data)
        assert status == 422
        assert "4800 bar is above any oil pressure. Check the decimal point and the unit." in page
        assert "select it at the top" not in page
        assert 'value="4800"' in page
        data["asked"] = "Oil pressure: 4800 bar"
    assert not Reading.objects.exists()


def test_every_odd_figure_of_a_reading_is_asked_about_together(tech, cast, job) -> None:
    data = typed("Oil pressure", "48", "bar", minimum="47", maximum="49")
    _, page = post(tech, sheet(cast, job), data)
    assert len(asked_in(page)) == 3
    assert post(tech, sheet(cast, job), data | {"asked": asked_in(page)})[0] == 302


def test_a_usual_value_is_never_asked_about(tech, cast, job) -> None:
    for name, value, unit in [
        ("Fuel pressure", "2800", "bar"), ("Battery voltage", "25.6", "V"), ("Coolant temperature", "228", "°F"),
        ("Exhaust gas temperature", "690", "°C"), ("Boost pressure", "31", "psi"),
    ]:  # fmt: skip
        key = {"°F": "degF", "°C": "degC"}.get(unit, unit)
        status, page = post(tech, sheet(cast, job), typed(name, value, key))
        assert status == 302, page
    assert all(not reading_row(one).made_with.remark for one in Reading.objects.all())


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [
        ("60", "20", "The lowest value, 60 psi, is above the highest one, 20 psi."),
        ("45", "", "The value, 40 psi, is below the lowest seen, 45 psi."),
        ("", "35", "The value, 40 psi, is above the highest seen, 35 psi."),
    ],
)
def test_figures_that_contradict_each_other_are_told_in_one_place(tech, cast, job, low, high, says) -> None:
    status, page = post(tech, sheet(cast, job), typed("Fuel pressure", "40", "psi", minimum=low, maximum=high))
    assert status == 422
    assert "One thing to fix" in page
    assert page.count(says) == 2  # in the summary, and beside its field
    assert page.count('aria-invalid="true"') == 1


def some_reading(cast: Cast, job: Job | None = None, **more: Any) -> Reading:
    given = {"parameter": named("Oil pressure"), "value": Decimal(41), "unit": "psi", **more}
    return log_reading(by=cast.tech, vessel=cast.vessel, engine=cast.port, job=job, **given)


def test_a_correction_is_asked_as_well(client, cast, job) -> None:
    client.force_login(cast.manager)
    wrong = some_reading(cast, job)
    address = reverse("findings:correct_reading", args=[wrong.pk])
    data = {"phase": "", "value": "410", "unit": "psi", "engine": cast.port.pk, "text": "Misread."}
    status, page = post(client, address, data)
    assert status == 422
    assert "410 psi is far above the usual oil pressure" in page
    assert post(client, address, data | {"asked": asked_in(page)})[0] == 302
    assert sorted(Reading.objects.values_list("value", flat=True)) == [41, 410]


def test_a_result_of_the_bench_is_asked_as_well(tech, cast, job) -> None:
    address = reverse("findings:bench_tool", args=[job.number, "ratiometric-transducer"])
    sent = {
        "for-engine": str(cast.port.pk), "measures": "Oil pressure", "unit": "bar", "low": "0", "high": "100",
        "supply": "5 V", "signal": "2.5 V", "low_share": "10 %", "high_share": "90 %", "margin": "5 %", "work-out": "1",
        "log-phase": "arrival", "log-entry_id": str(uuid.uuid4()),
    }  # fmt: skip
    status, page = post(tech, address, sent)
    assert status == 422
    assert "50 bar is far above the usual oil pressure" in page
    assert post(tech, address, sent | {"asked": asked_in(page)})[0] == 302
    assert Reading.objects.get().value == 50


def test_a_queued_act_is_never_lost_to_a_question(cast) -> None:
    act = queued(
        "log_reading", by=cast.tech, at=datetime(2026, 3, 14, tzinfo=UTC), entry_id=uuid.uuid4(), vessel=cast.vessel,
        engine=cast.port, parameter=named("Oil pressure"), value=Decimal(48), unit="bar",
    )  # fmt: skip
    with asking(list):
        reading = replay(act, by=cast.tech)
    assert reading.value == 48
    assert "far above" in reading_row(reading).made_with.remark


def test_what_a_file_says_is_noted_and_not_refused(cast) -> None:
    with asking(list):
        odd = some_reading(cast, value=Decimal(48), unit="bar", file_sha256="a" * 64)
        more = some_reading(cast, value=Decimal(4500), unit="bar", file_sha256="b" * 64)
    for one in (odd, more):
        assert "Kept as it was written." in reading_row(one).made_with.remark


def test_nobody_is_asked_where_nobody_waits(cast) -> None:
    assert some_reading(cast, value=Decimal(48), unit="bar").pk
    with asking(list):
        with pytest.raises(Refused, match="far above the usual oil pressure") as refusal:
            some_reading(cast, value=Decimal(48), unit="bar")
        assert "value" in refusal.value.fields
        with nobody_to_ask():
            assert some_reading(cast, value=Decimal(48), unit="bar").pk


def test_the_fragment_says_what_is_odd_and_judges_it_all_the_same(tech, cast, job) -> None:
    from findings.readings.actions import NewLimit, add_card

    card = add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual",
        limits=[NewLimit(parameter=named("Oil pressure"), unit="bar", low=Decimal(3), high=Decimal(5))],
    )  # fmt: skip
    limit = card.limits.get()
    prefix = f"limit-{limit.pk}"
    page = tech.get(reverse("findings:judged", args=[limit.pk]), {f"{prefix}-value": "48", f"{prefix}-unit": "bar"})
    assert "<svg" in page.content.decode()
    assert "48 bar is far above the usual oil pressure" in page.content.decode()
    assert "select it at the top" not in page.content.decode()


# ---- hours against the clock


@pytest.mark.parametrize(
    ("ran", "passed", "is_asked"),
    [
        ("2.0", timedelta(hours=2), False), ("2.9", timedelta(hours=2), False), ("3.1", timedelta(hours=2), True),
        ("9.0", timedelta(hours=2), True), ("24.5", timedelta(hours=2), True), ("1.0", timedelta(minutes=1), False),
        ("30", timedelta(days=1, hours=5), False), ("0", timedelta(hours=2), False),
    ],
)  # fmt: skip
def test_hours_that_ran_a_little_faster_than_the_clock_are_asked_about_once(tech, cast, job, ran, passed, is_asked):
    now = timezone.now()
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=now - passed)
    data = typed("Oil pressure", "41", "psi") | {"hours": str(100 + Decimal(ran))}
    status, page = post(tech, sheet(cast, job), data)
    assert status == (422 if is_asked else 302), page
    if is_asked:
        assert f"the engine would have run {Decimal(ran).normalize():f} h, from 100 h" in page
        assert "To keep it, select it at the top and send this again." in page
        assert post(tech, sheet(cast, job), data | {"asked": asked_in(page)})[0] == 302
    assert Reading.objects.count() == 1


def test_a_day_faster_than_the_clock_is_refused_however_often(tech, cast, job):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=timezone.now() - timedelta(hours=2))
    data = typed("Oil pressure", "41", "psi") | {"hours": "140", "asked": f"hours of {cast.port.pk}: 140"}
    assert post(tech, sheet(cast, job), data)[0] == 422
    assert not Reading.objects.exists()


def test_what_is_dated_by_the_day_alone_has_a_days_room(tech, cast, job):
    now = timezone.localtime(timezone=shop_zone())
    day = now.replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=3)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=day)
    written = (day + timedelta(hours=2)).strftime("%Y-%m-%dT%H:%M")
    data = typed("Oil pressure", "41", "psi") | {"hours": "109", "happened_at": written}
    assert post(tech, sheet(cast, job), data)[0] == 302


def test_hours_logged_late_are_held_against_what_came_after_them(tech, cast, job):
    begin = timezone.now() - timedelta(days=3)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(109), happened_at=begin + timedelta(hours=2))
    written = timezone.localtime(begin, shop_zone()).strftime("%Y-%m-%dT%H:%M")
    status, page = post(
        tech, sheet(cast, job), typed("Oil pressure", "41", "psi") | {"hours": "100", "happened_at": written}
    )
    assert status == 422
    assert "would have run 9 h, from 100 h to 109 h" in page


def test_the_hour_meters_own_page_asks_too(client, cast):
    client.force_login(cast.desk)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=timezone.now() - timedelta(hours=2))
    address = reverse("vessels:hours", args=[cast.port.pk])
    status, page = post(client, address, {"shown": "109"})
    assert status == 422
    assert "would have run 9 h" in page
    assert post(client, address, {"shown": "109", "really": "on"})[0] == 302
    assert LogEntry.objects.filter(kind="hours").count() == 2


def test_a_queued_scan_is_never_lost_to_a_question_about_its_hours(cast):
    written = datetime(2026, 3, 14, 10, tzinfo=UTC)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=written - timedelta(hours=2))
    act = queued("log_hours", by=cast.desk, at=written, entry_id=uuid.uuid4(), engine=cast.port, shown=Decimal(109))
    with asking(list):
        assert replay(act, by=cast.desk).engine_hours == 109


def test_correcting_the_hours_of_an_odd_value_asks_nothing_of_the_value(client, cast, job) -> None:
    client.force_login(cast.manager)
    wrong = some_reading(cast, job, value=Decimal(48), unit="bar")
    address = reverse("findings:correct_reading", args=[wrong.pk])
    data = {"phase": "", "value": "48", "unit": "bar", "engine": cast.port.pk, "condition": "cold", "text": "Cold."}
    assert post(client, address, data)[0] == 302


# ---- all that is asked, at once


def spec_rows(cast: Cast, *names: str) -> dict[str, str]:
    """A spec card with a limit in rpm, bar or the like for each parameter: the prefix of its row on the sheet."""
    from findings.readings.actions import NewLimit, add_card

    units = {"Engine speed": "rpm", "Oil pressure": "bar", "Battery voltage": "V"}
    limits = [NewLimit(parameter=named(name), unit=units[name], low=Decimal(1)) for name in names]
    card = add_card(by=cast.tech, family=cast.family, title="Warm", document="Invented manual", limits=limits)
    return {one.parameter.name: f"limit-{one.pk}" for one in card.limits.select_related("parameter")}


def full_sheet(cast: Cast, *, hours: str = "105") -> dict[str, Any]:
    """Three values and an hour meter, each of them odd; the meter ran 5 h in 2 h."""
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=timezone.now() - timedelta(hours=2))
    rows = spec_rows(cast, "Engine speed", "Oil pressure")
    data = typed("Battery voltage", "700", "V") | {"hours": hours, "text": "Read by lamp."}
    for name, value in (("Engine speed", "62000"), ("Oil pressure", "48")):
        data |= {f"{rows[name]}-value": value, f"{rows[name]}-unit": {"Engine speed": "rpm"}.get(name, "bar")}
    return data


def test_all_that_is_odd_on_a_sheet_is_asked_at_once_each_with_its_tick(tech, cast, job) -> None:
    data = full_sheet(cast)
    status, page = post(tech, sheet(cast, job), data)
    assert (status, Reading.objects.count()) == (422, 0)
    ticks = asked_in(page)
    assert len(ticks) == 4
    assert page.count('<input type="checkbox" name="asked"') == 4
    for kept in ("Engine speed: 62000 rpm", "Oil pressure: 48 bar", "Battery voltage: 700 V", "105 h"):
        assert re.search(rf"Keep it: [^<]*{re.escape(kept)}</span>", page), kept
    for value in ("62000", "48", "700", "105"):
        assert f'value="{value}"' in page
    assert "Read by lamp." in page
    assert post(tech, sheet(cast, job), data | {"asked": ticks})[0] == 302
    assert Reading.objects.count() == 3


def test_a_question_that_was_not_ticked_is_asked_again_and_the_others_are_not(tech, cast, job) -> None:
    data = full_sheet(cast)
    ticks = asked_in(post(tech, sheet(cast, job), data)[1])
    status, page = post(tech, sheet(cast, job), data | {"asked": ticks[1:]})
    assert status == 422
    assert page.count('<input type="checkbox" name="asked"') == 1
    assert sorted(asked_in(page)) == sorted(ticks)  # what was ticked is kept, and sent once more
    assert "One thing to fix" in page
    assert not Reading.objects.exists()
    assert post(tech, sheet(cast, job), data | {"asked": asked_in(page)})[0] == 302


def test_what_cannot_be_is_told_with_all_that_is_asked(tech, cast, job) -> None:
    data = full_sheet(cast) | {
        "other-value": "-500",
        "other-unit": "degF",
        "other-parameter": str(named("Coolant temperature").pk),
    }
    status, page = post(tech, sheet(cast, job), data)
    assert status == 422
    assert len(asked_in(page)) == 3
    assert "4 things to fix" in page
    assert "the engine would have run 5 h" in page


def test_hours_that_cannot_be_are_told_with_the_questions_about_values(tech, cast, job) -> None:
    status, page = post(tech, sheet(cast, job), full_sheet(cast, hours="90"))
    assert status == 422
    assert len(asked_in(page)) == 3
    assert "4 things to fix" in page


def test_a_correction_asks_about_value_and_hours_at_once(client, cast, job) -> None:
    client.force_login(cast.manager)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=timezone.now() - timedelta(hours=2))
    wrong = some_reading(cast, job)
    address = reverse("findings:correct_reading", args=[wrong.pk])
    data = {"phase": "", "value": "410", "unit": "psi", "engine": cast.port.pk, "hours": "105", "text": "Misread."}
    status, page = post(client, address, data)
    assert (status, len(asked_in(page))) == (422, 2)
    assert post(client, address, data | {"asked": asked_in(page)})[0] == 302


def test_an_action_asks_about_all_of_it_at_once(cast) -> None:
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=timezone.now() - timedelta(hours=2))
    with asking(list), pytest.raises(Refused) as refusal:
        some_reading(cast, value=Decimal(48), unit="bar", engine_hours=Decimal(105))
    assert set(refusal.value.fields) == {"value", "hours"}
    assert not Reading.objects.exists()
    assert LogEntry.objects.filter(kind="reading").count() == 0


# ---- what cannot be anywhere

COLD = "-500 °F is below absolute zero (-459.67 °F)."


@pytest.mark.parametrize("parameter", ["Coolant temperature", "Exhaust gas temperature"])
def test_a_reading_below_absolute_zero_says_so(tech, cast, job, parameter) -> None:
    status, page = post(tech, sheet(cast, job), typed(parameter, "-500", "degF"))
    assert status == 422
    assert COLD in page
    assert 'value="-500"' in page


def test_a_limit_of_a_spec_card_below_absolute_zero_says_so(client, cast) -> None:
    from findings.readings.actions import NewLimit, add_card

    client.force_login(cast.manager)
    sent = {
        "family": cast.family.pk, "title": "Warm", "document": "Invented manual", "entry_id": str(uuid.uuid4()),
        "limits-TOTAL_FORMS": "1", "limits-INITIAL_FORMS": "0", "limits-0-parameter": "Coolant temperature",
        "limits-0-low": "-500", "limits-0-unit": "degF", "limits-0-near_percent": "10",
    }  # fmt: skip
    status, page = post(client, reverse("findings:card_add"), sent)
    assert status == 422
    assert COLD in page
    assert 'value="-500"' in page
    limit = NewLimit(parameter=named("Coolant temperature"), unit="degF", high=Decimal(-500))
    with pytest.raises(Refused, match=re.escape(COLD)):
        add_card(by=cast.manager, family=cast.family, title="Warm", document="Invented manual", limits=[limit])


def test_a_value_of_the_bench_below_absolute_zero_says_so(tech, cast, job) -> None:
    address = reverse("findings:bench_tool", args=[job.number, "battery-load-test"])
    sent = {"rating": "650 A", "measured": "9.6 V", "temperature": "-500 °F", "load": "325 A", "work-out": "1"}
    assert COLD in html.unescape(tech.get(address, sent).content.decode())
