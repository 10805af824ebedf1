"""The list of owners to remind, as it stood on a day that has passed."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse
from django.utils import timezone

from tests.workorders.counter import signed_in
from vessels.actions import log_hours
from vessels.wording import date_words
from workorders.upkeep.actions import adopt_plans, end_adoption, log_service, note_reminder
from workorders.upkeep.models import Adoption, Reminder, ReminderWish
from workorders.upkeep.queries.calling import to_remind, to_remind_as_of


def lines(days: int) -> list[str]:
    day = timezone.localdate() - timedelta(days=days)
    return [line for one in to_remind_as_of(day) for boat in one.boats for line in boat.then_lines]


@pytest.fixture
def followed(cast: Any, impeller: Any, ago: Any, moment: Any) -> Adoption:
    """Every 24 months; followed for two years, last done 800 days ago as the yard told, and by us 20 days ago."""
    (made,) = adopt_plans(
        by=cast.desk, engine=cast.port, plans=[impeller], basis="done", last_on=ago(800), source="told"
    )
    Adoption.objects.filter(pk=made.pk).update(added_at=moment(730))
    log_service(by=cast.tech, engine=cast.port, plans=[impeller], happened_at=moment(20))
    return made


def test_what_was_due_then_though_it_is_done_since(cast: Any, followed: Adoption, ago: Any) -> None:
    assert to_remind() == []
    (line,) = lines(30)
    assert line.startswith("Impeller (")
    assert ": overdue, nearest day " in line
    assert f"last done {date_words(ago(800))}, hours not known, as we were told." in line
    assert lines(19) == []  # done the day before
    assert lines(500) == []  # done 300 days before that day
    assert lines(740) == []  # nobody followed it yet


def test_what_is_followed_no_longer_was_followed_then(cast: Any, followed: Adoption) -> None:
    end_adoption(by=cast.desk, adoption=followed)
    assert len(lines(30)) == 1


def test_hours_that_were_read_later_say_nothing_of_the_day(cast: Any, oil: Any, ago: Any, moment: Any) -> None:
    (made,) = adopt_plans(
        by=cast.desk, engine=cast.port, plans=[oil], basis="done", last_on=ago(100), last_hours=Decimal(100),
        source="told",
    )  # fmt: skip
    Adoption.objects.filter(pk=made.pk).update(added_at=moment(99))
    log_hours(by=cast.desk, engine=cast.port, shown=Decimal(120), happened_at=moment(60))
    log_hours(by=cast.desk, engine=cast.port, shown=Decimal(260), happened_at=moment(2))
    assert lines(50) == []
    assert len(lines(1)) == 1


def test_who_wanted_none_then_and_when_they_were_reminded(cast: Any, followed: Adoption, moment: Any) -> None:
    ReminderWish.objects.create(customer=cast.customer, wants=False, by=cast.desk, at=moment(25))
    assert len(lines(30)) == 1
    assert lines(22) == []


def test_a_reminder_of_later_is_not_told(cast: Any, oil: Any, ago: Any, moment: Any) -> None:
    (made,) = adopt_plans(by=cast.desk, engine=cast.port, plans=[oil], basis="done", last_on=ago(900), source="told")
    Adoption.objects.filter(pk=made.pk).update(added_at=moment(90))
    note_reminder(by=cast.desk, customer=cast.customer, vessels=[cast.vessel], way="call")
    assert Reminder.objects.count() == 1
    page = signed_in(cast.desk).get(reverse("upkeep:reminders"), {"on": ago(30).isoformat()})
    text = " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())
    assert f"As it stood on {date_words(ago(30))}" in text
    assert "not reminded by then" in text
    assert "Nothing can be noted for a day that has passed." in text
    assert "Oil and filter" in text
    assert "is due today" not in text


@pytest.mark.parametrize(
    ("days", "said"), [(0, "A day before today."), (-3, "A day before today."), (4000, "ten years")]
)
def test_a_day_that_cannot_be_is_told_and_the_list_is_of_today(cast: Any, ago: Any, days: int, said: str) -> None:
    page = signed_in(cast.desk).get(reverse("upkeep:reminders"), {"on": ago(days).isoformat()})
    text = " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())
    assert said in text
    assert f"as the records stand on {date_words(timezone.localdate())}" in text


def test_it_can_be_kept_as_a_table(cast: Any, followed: Adoption, moment: Any, ago: Any) -> None:
    """What stood then, with the day; no reasons, which are in words of the day itself, and no reminder from later."""
    desk = signed_in(cast.desk)

    def table(days: int) -> list[dict[str, str]]:
        answer = desk.get(reverse("upkeep:reminders_csv"), {"on": ago(days).isoformat()})
        assert f"reminders-{ago(days).isoformat()}.csv" in answer["Content-Disposition"]
        return list(csv.DictReader(io.StringIO(answer.getvalue().decode("utf-8-sig"))))

    (row,) = table(30)
    assert row["owner"] == cast.vessel.owner.name
    assert (row["service"], row["stands"], row["why"]) == ("Impeller", "Overdue", "")
    assert (row["as of"], row["due until"], row["last reminded on"]) == (ago(30).isoformat(), "", "")
    assert row["last time"] == f"last done {date_words(ago(800))}, hours not known, as we were told"
    assert table(19) == []
    page = desk.get(reverse("upkeep:reminders"), {"on": ago(30).isoformat()}).content.decode()
    assert f"{reverse('upkeep:reminders_csv')}?on={ago(30).isoformat()}" in page
