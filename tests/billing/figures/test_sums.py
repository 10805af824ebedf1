"""Open estimates, what is owed by age, and sales by week: equal to the aging page and the journal to the cent."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from billing.authorizations.models import Authorization
from billing.estimates.models import Estimate
from billing.figures.pages import Asked
from billing.figures.pages.money import estimates, owed, sales
from billing.figures.period import Period
from billing.figures.queries.estimates import estimates_behind, open_estimates
from billing.figures.queries.money import owed_behind, owed_by_age, sales_behind, sales_by_week
from billing.invoices.actions import receive_payment, reverse_payment, write_off
from billing.invoices.journal import balance_of
from billing.invoices.models import Invoice
from billing.invoices.queries.books import journal_entries
from billing.invoices.queries.lists import receivables
from staff.models import ShopProfile
from staff.queries import shop_profile
from tests.billing.invoices.conftest import Money
from tests.cast import Cast, keep_to_the_office
from workorders.actions import move_job, open_job
from workorders.models import Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax

if TYPE_CHECKING:
    from staff.models import Person

Now = Callable[[str], datetime]
ZONE = ZoneInfo("America/New_York")
TODAY = date(2026, 3, 31)
MARCH = Period(date(2026, 3, 1), TODAY, TODAY, ZONE)
NOTHING = Decimal(0)


def asked(period: Period = MARCH) -> Asked:
    return Asked(period, "USD", sees_prices=True)


def test_an_empty_shop_says_so(cast: Cast, now: Now) -> None:
    assert estimates(asked()).told == ["No estimate with a price waits for an answer."]
    assert owed(asked()).told == ["No invoice is open."]
    assert sales(asked()).told == ["Nothing was invoiced or credited on these days."]
    for shown in (estimates(asked()), owed(asked()), sales(asked())):
        assert shown.picture is None
        assert not shown.rows.rows


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whatever_happens_the_sums_are_those_of_aging_and_journal(
    cast: Cast, now: Now, job: Job, money: Money, seed: int
) -> None:
    """Five weeks of invoices, payments, credits, write-offs and reversals by chance, with two taxes."""
    chance = random.Random(seed)
    for name, percent in (("State", "6.25"), ("County", "0.875")):
        add_tax(by=cast.owner, name=name, percent=Decimal(percent), starts_on=date(2026, 1, 1), kinds=[ChargeKind.FEE])
    moment = datetime(2026, 2, 25, 23, 30, tzinfo=ZONE)
    invoices: list[Invoice] = []
    for _ in range(24):
        moment += timedelta(hours=chance.randrange(1, 70))
        now(moment.strftime("%Y-%m-%d %H:%M"))
        job.refresh_from_db()
        act = chance.choice(["invoice", "invoice", "pay", "credit", "off", "reverse"])
        if act == "invoice" or not invoices:
            invoices.append(money.invoice(f"{chance.randrange(1, 90_000) / 100:.2f}"))
            continue
        one = chance.choice(invoices)
        left = Decimal(money.balance(one)[-1])
        if act == "pay" and left:
            receive_payment(by=cast.desk, invoice=one, amount=min(left, Decimal("37.41")), means="cash")
        elif act == "credit" and left > 1:
            money.credit(one, f"{min(left, Decimal('12.34')):.2f}")
        elif act == "off" and left:
            write_off(by=cast.manager, invoice=one, amount=min(left, Decimal("5.55")), reason="Small")
        elif act == "reverse" and (paid := one.payments.filter(kind="received", reversed_by=None).first()):
            reverse_payment(by=cast.desk, payment=paid, reason="Bounced")
    today = timezone.localdate(moment, ZONE)
    for first in (date(2026, 2, 1), date(2026, 3, 4), date(2026, 3, 11)):
        balance = balance_of(journal_entries(first, today))
        weeks, others = sales_by_week(Period(first, today, today, ZONE), "USD")
        in_journal = -sum((sum_ for role, sum_ in balance.items() if role.startswith("sales:")), NOTHING)
        taxes = -sum((sum_ for role, sum_ in balance.items() if role.startswith("tax:")), NOTHING)
        assert sum((week.left for week in weeks), NOTHING) == in_journal
        assert sum((week.tax - week.credit_tax for week in weeks), NOTHING) == taxes
        papers = sales_behind(Period(first, today, today, ZONE), "USD", 0, None)
        assert sum((one.net if not one.is_credit else -one.net for one in papers), NOTHING) == in_journal
        assert others == 0
    for day in (today, today + timedelta(days=45), today + timedelta(days=200)):
        aging = receivables(day, "USD")
        assert [(one.name, one.open) for one in owed_by_age(day, "USD")] == aging.cells
        assert sum((one.open_sum for one in owed_behind("USD", 0, None)), NOTHING) == aging.on_invoices


def test_weeks_begin_on_monday_by_the_shops_calendar(cast: Cast, now: Now, job: Job, money: Money) -> None:
    """Sunday 11:30 PM in New York is Monday in London: it is of the week that ends. Each week is told, empty ones too.

    By paper: $100 on Sunday Mar 8, $40 on Monday Mar 9, $7 credited of the first on Monday Mar 23.
    """
    now("2026-03-08 23:30")
    first = money.invoice("100")
    now("2026-03-09 00:10")
    money.invoice("40")
    now("2026-03-23 08:00")
    money.credit(first, "7")
    weeks, _ = sales_by_week(MARCH, "USD")
    assert [(str(one.monday), one.invoices, one.net, one.credits, one.credit_net, one.left) for one in weeks] == [
        ("2026-03-30", 0, 0, 0, 0, 0),
        ("2026-03-23", 0, 0, 1, 7, -7),
        ("2026-03-16", 0, 0, 0, 0, 0),
        ("2026-03-09", 1, 40, 0, 0, 40),
        ("2026-03-02", 1, 100, 0, 0, 100),
        ("2026-02-23", 0, 0, 0, 0, 0),
    ]
    shown = sales(asked())
    assert shown.told == ["2 invoices ($140.00 in all before tax), 1 credit note ($7.00 in all): $133.00 of sales."]
    assert [row[0].words for row in shown.parts[0].rows][1] == "2026-W13"
    assert [cell.words for cell in shown.parts[0].sums or ()][-1] == "$133.00"
    outside = Period(date(2026, 3, 9), date(2026, 3, 22), TODAY, ZONE)
    assert [one.left for one in sales_by_week(outside, "USD")[0]] == [0, 40]


def test_another_currency_is_in_no_sum_and_told(cast: Cast, now: Now, money: Money) -> None:
    now("2026-03-10 08:00")
    money.invoice("100")
    shop_profile()
    ShopProfile.objects.update(currency="EUR")
    assert sales(Asked(MARCH, "EUR", sees_prices=True)).told == [
        "Nothing was invoiced or credited on these days.", "1 paper in another currency is in no sum.",
    ]  # fmt: skip
    assert owed(Asked(MARCH, "EUR", sees_prices=True)).told == ["No invoice is open."]


def given(job: Job, revision: int, day: date, total: str | None, person: Person, *, until: date | None = None) -> None:
    moment = datetime(day.year, day.month, day.day, 12, tzinfo=ZONE)
    Estimate.objects.create(
        job=job, revision=revision, valid_until=until or date(2026, 12, 31), given_at=moment, given_by=person,
        given_how="printed", total=None if total is None else Decimal(total), snapshot="{}", sha256="x",
        started_by=person,
    )  # fmt: skip


def test_open_estimates_as_a_bookkeeper_counted_them(client: Client, cast: Cast, now: Now) -> None:
    """On March 31, of nine jobs: $100 since 7 days, $250.50 since 8, $40 since 31 (run out), and one without a price.

    Not open: one authorized by phone, one moved to authorized, one canceled, one whose first version was replaced
    (the second counts: the $250.50), one in work with no estimate at all.
    """
    now("2026-02-01 12:00")
    jobs = [open_job(by=cast.desk, vessel=cast.vessel, concerns=[f"Job {number}"]) for number in range(8)]
    given(jobs[0], 1, date(2026, 3, 24), "100", cast.desk)
    given(jobs[1], 1, date(2026, 3, 1), "999", cast.desk)
    given(jobs[1], 2, date(2026, 3, 23), "250.50", cast.desk)
    given(jobs[2], 1, date(2026, 2, 28), "40", cast.desk, until=date(2026, 3, 30))
    for job in jobs[3:6]:
        given(job, 1, date(2026, 3, 2), "5000", cast.desk)
    phoned = Authorization.objects.create(
        job=jobs[3], amount=Decimal(5000), how="phone", who="Wes", said_at=timezone.now(), noted_by=cast.desk,
        noted_at=datetime(2026, 3, 3, 12, tzinfo=ZONE),
    )  # fmt: skip
    now("2026-03-05 12:00")

    def moved(job: Job, to: str) -> None:
        job.refresh_from_db()
        move_job(by=cast.manager, job=job, to=to, reason="so it is", seen_version=job.version)

    moved(jobs[4], "authorized")
    moved(jobs[5], "canceled")
    moved(jobs[6], "authorized")
    now("2026-03-31 12:00")
    found = {one.age: (one.estimates, one.total, one.run_out, one.oldest) for one in open_estimates(MARCH)}
    assert found == {
        0: (1, Decimal(100), 0, 7), 1: (1, Decimal("250.50"), 0, 8), 3: (1, Decimal(40), 1, 31), 4: (1, NOTHING, 0, 58),
    }  # fmt: skip
    assert estimates(asked()).told == [
        "3 estimates ($390.50 in all) wait for an answer, the oldest for 31 days.",
        "1 of them is past the last day.",
        "1 job in the state Estimate has no estimate that was given, the oldest for 58 days: not in the sum.",
    ]
    assert [one.job for one in estimates_behind(MARCH, 0, None)] == [jobs[place].number for place in (7, 2, 1, 0)]
    # What was withdrawn is no answer; an authorization of an earlier version is none to a later one.
    Authorization.objects.filter(pk=phoned.pk).update(
        withdrawn_at=timezone.now(), withdrawn_by=cast.desk, noted_at=phoned.noted_at
    )
    assert sum(one.estimates for one in open_estimates(MARCH)) == 5
    client.force_login(cast.owner)
    kept = client.get("/insight/shop/estimates.csv").content.decode().splitlines()
    assert kept[1].split(",")[:2] == [str(jobs[7].number), "Wes Harrow"]


def test_a_credit_note_is_below_zero_on_the_page_and_in_columns_of_its_own_in_the_table(
    client: Client, cast: Cast, now: Now, money: Money
) -> None:
    """Whoever adds up a column of the table gets what it says; nothing is minus nothing."""
    now("2026-03-10 08:00")
    money.credit(money.invoice("100"), "7")
    client.force_login(cast.owner)
    text = client.get("/insight/shop/sales/").content.decode()
    assert "−\u2060$7.00" in text
    assert "−\u2060$0.00" not in text
    heading, credit, invoice = client.get("/insight/shop/sales.csv").content.decode().splitlines()
    assert heading.endswith("Net,Tax,Total,Credited net,Credited tax,Credited total")
    assert credit.endswith(",0.00,0.00,0.00,7.00,0.00,7.00")
    assert invoice.endswith(",100.00,0.00,100.00,0.00,0.00,0.00")


def test_what_was_given_today_waits_since_today(cast: Cast, now: Now) -> None:
    now("2026-03-31 08:00")
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Hums"])
    none = "1 job in the state Estimate has no estimate that was given, the oldest since today: not in the sum."
    assert estimates(asked()).told[1] == none
    given(job, 1, TODAY, "10", cast.desk)
    assert estimates(asked()).told == ["1 estimate ($10.00 in all) waits for an answer, the oldest since today."]


PAGES = ["hours", "comebacks", "states", "estimates", "owed", "sales"]


def test_who_sees_what(client: Client, cast: Cast, now: Now, money: Money) -> None:
    """Technicians see hours where the shop lets them see Insight, and no sum of the shop's."""
    now("2026-03-10 08:00")
    money.invoice("100")

    def answers(person: Person) -> dict[str, int]:
        client.force_login(person)
        return {page: client.get(f"/insight/shop/{page}{end}").status_code for page in PAGES for end in ("/", ".csv")}

    of_hours = {"hours": 200, "comebacks": 200, "states": 200, "estimates": 403, "owed": 403, "sales": 403}
    assert answers(cast.tech) == of_hours
    assert "Sales by week" not in client.get("/insight/").content.decode()
    assert set(answers(cast.owner).values()) == {200}
    assert "Sales by week" in client.get("/insight/").content.decode()
    keep_to_the_office()
    assert set(answers(cast.tech).values()) == {403}


def test_every_page_asks_a_fixed_number_of_questions(
    client: Client, cast: Cast, now: Now, job: Job, money: Money, django_assert_max_num_queries: Any
) -> None:
    client.force_login(cast.owner)
    client.get("/insight/shop/hours/")
    for _ in range(2):
        for page in PAGES:
            with django_assert_max_num_queries(8):
                assert client.get(f"/insight/shop/{page}/").status_code == 200
        for _ in range(5):
            money.invoice("10")
