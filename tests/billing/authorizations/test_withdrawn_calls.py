"""A job of which nothing that was authorized stands is called about, once, until there is another word."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from billing.authorizations.actions import withdraw_authorization
from billing.authorizations.models import Authorization
from billing.estimates.actions import add_estimate_line, charge_estimate, give_estimate, start_estimate
from billing.estimates.queries import worked_out
from billing.figures.period import Period
from billing.figures.queries.estimates import open_estimates
from billing.invoices.actions import make_invoice
from commands.questions import Questions, asking
from tests.billing.authorizations.test_authorizations import charge, note
from tests.cast import Cast
from vessels.wording import day_words
from workorders.actions import move_job
from workorders.calls.actions import note_call
from workorders.calls.listing import page_of_calls
from workorders.models import Job

pytestmark = pytest.mark.django_db


def told(job: Job) -> list[str]:
    """What the list of calls asks about the job, in words."""
    calls = page_of_calls("")
    return [ask.words for row in [*calls.now, *calls.later] if row.job.pk == job.pk for ask in row.asks]


def withdraw(cast: Cast, said: Authorization) -> str:
    withdraw_authorization(by=cast.desk, authorization=said, reason="They changed their mind")
    said.refresh_from_db()
    assert said.withdrawn_at is not None
    return day_words(said.withdrawn_at)


def period() -> Period:
    today = timezone.localdate()
    return Period(today, today, today, ZoneInfo("America/New_York"))


def at_work(cast: Cast, job: Job) -> None:
    job.refresh_from_db()
    move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version)
    job.refresh_from_db()


def test_the_one_word_that_was_given_was_withdrawn(cast: Cast, job: Job) -> None:
    charge(cast, job, "90")
    said = note(cast, job, "100")
    assert told(job) == []
    on = withdraw(cast, said)
    assert told(job) == [f"What was authorized was withdrawn on {on}. Ask for another word."]
    (row,) = page_of_calls("").now
    assert row.sums == [("charged, with tax", Decimal("90.00"))]
    note(cast, job, "95")
    assert told(job) == []


def test_of_several_words_the_day_of_the_last(cast: Cast, job: Job) -> None:
    charge(cast, job, "90")
    first, second = note(cast, job, "100"), note(cast, job, "20", adds=True)
    on = withdraw(cast, first)
    Authorization.objects.filter(pk=first.pk).update(withdrawn_at=timezone.now() - timedelta(days=9))
    assert not any("withdrawn" in words for words in told(job))  # the second one stands
    on = withdraw(cast, second)
    assert told(job) == [f"All that was authorized was withdrawn, the last of it on {on}. Ask for another word."]


def test_at_work_it_is_asked_also_where_nothing_is_charged_yet(cast: Cast, job: Job) -> None:
    said = note(cast, job, "100")
    at_work(cast, job)
    on = withdraw(cast, said)
    assert told(job) == [f"What was authorized was withdrawn on {on}. Ask for another word."]


def test_with_nothing_priced_at_the_estimate_it_has_to_be_priced_first(cast: Cast, job: Job) -> None:
    withdraw(cast, note(cast, job, "100"))
    assert told(job) == []
    assert [one.pk for one in page_of_calls("").unpriced] == [job.pk]


def test_an_estimate_that_waits_is_not_asked_about_twice(cast: Cast, job: Job) -> None:
    made = start_estimate(by=cast.desk, job=job)
    add_estimate_line(
        by=cast.desk,
        estimate=made,
        told={"kind": "labor", "description": "Seals", "quantity": Decimal(1), "unit_price": Decimal(50)},
    )
    made.refresh_from_db()
    total = worked_out(made, currency="USD").figures.base.total
    given = give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=total)
    start = f"Estimate, version 1, was given on {day_words(given.given_at or timezone.now())}"
    assert told(job) == [f"{start}: no answer is noted."]
    charge(cast, job, "10")
    said = note(cast, job, "100")
    assert told(job) == []
    on = withdraw(cast, said)
    assert told(job) == [f"{start}; what was authorized since was withdrawn on {on}."]
    at_work(cast, job)  # and once the work goes on, it is no estimate that waits
    assert told(job) == [f"What was authorized was withdrawn on {on}. Ask for another word."]


def test_nobody_is_called_about_a_job_that_ended_or_that_nobody_ever_agreed_to(cast: Cast, job: Job) -> None:
    charge(cast, job, "90")
    assert told(job) == []
    withdraw(cast, note(cast, job, "100"))
    job.refresh_from_db()
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold", seen_version=job.version)
    assert told(job) == []


def test_a_noted_call_rests_it_until_it_is_withdrawn_again(cast: Cast, job: Job) -> None:
    charge(cast, job, "90")
    withdraw(cast, note(cast, job, "100"))
    note_call(by=cast.desk, job=job, who="Wes", said="Thinks about it", again_on=timezone.localdate() + timedelta(3))
    assert [row.job for row in page_of_calls("").now] == []
    assert [row.job.pk for row in page_of_calls("").later] == [job.pk]
    withdraw(cast, note(cast, job, "120"))
    assert [row.job.pk for row in page_of_calls("").now] == [job.pk]


def test_a_charge_after_the_only_word_was_withdrawn_is_asked_about(cast: Cast, job: Job) -> None:
    charge(cast, job, "50")
    on = withdraw(cast, note(cast, job, "100"))
    with asking(list), pytest.raises(Questions) as asked:
        charge(cast, job, "10")
    (said,) = asked.value.fields.values()
    assert said.startswith("What was authorized was withdrawn on ")
    assert "and the customer agreed to nothing since. No sum stops this charge." in said
    assert on.split()[-1] in said
    with asking(list):
        charge(cast, job, "0")  # nothing is charged
    note(cast, job, "120")
    with asking(list):
        charge(cast, job, "10")


def test_an_estimate_whose_job_was_invoiced_whole_is_called_about_no_more(cast: Cast, job: Job) -> None:
    made = start_estimate(by=cast.desk, job=job)
    add_estimate_line(
        by=cast.desk, estimate=made, told={"kind": "fee", "description": "Wax", "unit_price": Decimal(60)}
    )
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=Decimal(60))
    assert len(told(job)) == 1
    waiting = open_estimates(period())
    assert sum(one.estimates for one in waiting) == 1
    charge_estimate(by=cast.desk, estimate=made)
    make_invoice(by=cast.desk, job=job, seen_total=Decimal(60))
    assert told(job) == []
    assert sum(one.estimates for one in open_estimates(period())) == 0
    charge(cast, job, "10")
    assert len(told(job)) == 1
