"""Hours of a service against the hours at which it was said to be done last: engine hours only grow."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse
from django.utils import timezone

from commands.questions import Questions, asking
from tests.cast import Cast
from tests.workorders.counter import signed_in
from vessels.actions import log_hours, replace_meter
from vessels.models import LogEntry
from vessels.wording import date_words
from workorders.upkeep.actions import adopt_plans, end_adoption, log_service
from workorders.upkeep.models import Adoption, ServicePlan
from workorders.upkeep.models.plans import Basis, Source

D = Decimal
pytestmark = pytest.mark.django_db
Ago, Moment = Callable[[int], date], Callable[[int], datetime]


def told(cast: Cast, plan: ServicePlan, on: date, hours: str | None) -> Adoption:
    """The port engine follows the plan, and somebody said when it was done last."""
    adopt_plans(
        by=cast.desk, engine=cast.port, plans=[plan], basis=Basis.DONE, last_on=on,
        last_hours=None if hours is None else D(hours), source=Source.TOLD,
    )  # fmt: skip
    return Adoption.objects.get(engine=cast.port, plan=plan)


def done(cast: Cast, *plans: ServicePlan, hours: str | None, answered: Any = (), at: datetime | None = None) -> str:
    """What is asked when it is done at these hours; empty where nothing is."""
    try:
        with asking(lambda: answered):
            log_service(
                by=cast.tech, engine=cast.port, plans=list(plans), happened_at=at,
                engine_hours=None if hours is None else D(hours),
            )  # fmt: skip
    except Questions as question:
        return question.fields["hours"]
    return ""


def logged() -> int:
    return LogEntry.objects.filter(kind="service-done").count()


def test_fewer_hours_than_were_said_are_asked_about_once(cast: Cast, oil: ServicePlan, ago: Ago) -> None:
    told(cast, oil, ago(40), "100")
    asked = done(cast, oil, hours="95")
    assert asked.startswith(
        f"It was said that “Oil and filter” was done on {date_words(ago(40))} at 100 h; 95 h is less, and engine hours "
        "only grow. Read the meter again. If what was said is wrong, correct it where the engine follows the plan."
    )
    assert logged() == 0
    assert done(cast, oil, hours="95", answered=[f"told {oil.pk} of {cast.port.pk}: 95"]) == ""
    assert logged() == 1


@pytest.mark.parametrize("hours", ["100", "100.1", "340", None])
def test_as_many_or_more_or_unknown_are_not(cast: Cast, oil: ServicePlan, ago: Ago, hours: str | None) -> None:
    told(cast, oil, ago(40), "100")
    assert done(cast, oil, hours=hours) == ""


def test_a_tenth_less_is_less(cast: Cast, oil: ServicePlan, ago: Ago) -> None:
    told(cast, oil, ago(40), "100")
    assert "99.9 h is less" in done(cast, oil, hours="99.9")


def test_where_no_hours_were_said_there_is_nothing_to_ask(cast: Cast, oil: ServicePlan, ago: Ago) -> None:
    told(cast, oil, ago(40), None)
    assert done(cast, oil, hours="1") == ""


def test_only_of_the_plans_that_are_named(cast: Cast, oil: ServicePlan, impeller: ServicePlan, ago: Ago) -> None:
    told(cast, oil, ago(40), "100")
    told(cast, impeller, ago(90), "20")
    assert done(cast, impeller, hours="95") == ""
    assert "“Oil and filter”" in done(cast, oil, impeller, hours="96")


def test_what_is_logged_for_a_day_before_is_not_more_than_was_said(
    cast: Cast, oil: ServicePlan, ago: Ago, moment: Moment
) -> None:
    told(cast, oil, ago(40), "100")
    asked = done(cast, oil, hours="120", at=moment(60))
    assert "was done on" in asked
    assert "at 100 h; 120 h before that day is more" in asked
    assert done(cast, oil, hours="90", at=moment(60)) == ""


def test_on_the_same_day_nobody_knows_which_was_first(cast: Cast, oil: ServicePlan, ago: Ago, moment: Moment) -> None:
    told(cast, oil, ago(40), "100")
    assert done(cast, oil, hours="95", at=moment(40)) == ""


def test_a_plan_that_is_followed_no_longer_says_nothing(cast: Cast, oil: ServicePlan, ago: Ago) -> None:
    end_adoption(by=cast.desk, adoption=told(cast, oil, ago(40), "100"))
    assert done(cast, oil, hours="95") == ""


def test_after_another_meter_the_hours_in_all_count(cast: Cast, oil: ServicePlan, ago: Ago, moment: Moment) -> None:
    """The new meter shows 5 h; the engine has run 155 h. Nothing is odd about that."""
    told(cast, oil, ago(40), "100")
    log_hours(by=cast.tech, engine=cast.port, shown=D(150), happened_at=moment(30))
    replace_meter(by=cast.tech, engine=cast.port, old_shown=D(150), new_shown=D(0), happened_at=moment(20))
    assert done(cast, oil, hours="155") == ""


def test_nobody_is_there_to_be_asked(cast: Cast, oil: ServicePlan, ago: Ago) -> None:
    told(cast, oil, ago(40), "100")
    log_service(by=cast.tech, engine=cast.port, plans=[oil], engine_hours=D(95))
    assert logged() == 1


def test_the_form_asks_with_a_tick_and_takes_it_then(cast: Cast, oil: ServicePlan, ago: Ago) -> None:
    told(cast, oil, ago(40), "100")
    client, at = signed_in(cast.tech), reverse("upkeep:done", args=[cast.port.pk])
    sent = {"plans": str(oil.pk), "hours": "95", "happened_at": "", "text": ""}
    page = lxml.html.fromstring(client.post(at, sent).content.decode())
    assert "95 h is less, and engine hours only grow" in page.text_content()
    [tick] = page.xpath("//input[@name='asked']")
    assert client.post(at, {**sent, "asked": tick.get("value")}).status_code == 302
    assert logged() == 1
    assert timezone.now() - LogEntry.objects.get(kind="service-done").happened_at < timedelta(minutes=5)
