"""A job that comes to more than what is authorized, as the sum fell afterwards: said where it is noted, and called."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from lxml import html

from billing.authorizations.actions import change_authorization_rules, go_on, withdraw_authorization
from billing.authorizations.queries import rules, standing_of
from billing.invoices.actions import credit_invoice, make_invoice
from commands.refusals import Refused
from tests.billing.authorizations.test_authorizations import charge, note
from tests.cast import Cast
from tests.workorders.counter import signed_in
from workorders.actions import change_job_discount, move_job
from workorders.calls.listing import CallList, page_of_calls
from workorders.models import Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax
from workorders.taxes.models import TaxRate

D = Decimal
pytestmark = pytest.mark.django_db


def words_on(answer: Any) -> str:
    return " ".join(html.fromstring(answer.content).text_content().split())


def noted(cast: Cast, job: Job, amount: str, **more: str) -> str:
    """What the page says after an answer was noted on it."""
    address = reverse("authorizations:job", args=[job.number])
    said = {
        "amount": amount, "is_open": "no", "adds": "no", "how": "person", "who": "Wes", "words": "Go on.",
        "said_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"), **more,
    }  # fmt: skip
    client = signed_in(cast.desk)
    page = html.fromstring(client.get(address).content)
    seen = {one.name: one.value or "" for one in page.xpath("//form[.//input[@name='amount']]//input[@type='hidden']")}
    answer = client.post(address, {**seen, **said}, follow=True)
    assert answer.redirect_chain, words_on(answer)
    return words_on(answer)


def above(job: Job, calls: CallList | None = None) -> list[tuple[str, Decimal]]:
    """What the call list says of a job that is above what was agreed."""
    rows = [row for row in (calls or page_of_calls("")).now if row.job.pk == job.pk]
    return [one for row in rows for one in row.sums if one[0].startswith("above what was agreed")]


class TestWhatIsSaid:
    def test_a_smaller_sum_than_the_job_comes_to_already(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "440.39")
        said = noted(cast, job, "300")
        assert "It is noted. The job already comes to $440.39, $140.39 more than that." in said
        assert "Charges may go up to it" not in said
        assert "The job comes to $440.39 with tax. That is $140.39 more than may be charged." in said

    def test_a_sum_that_the_job_does_not_pass(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "300")
        assert "It is noted. Charges may go up to it." in noted(cast, job, "300")

    def test_a_sum_on_top_that_is_not_enough(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "440.39")
        noted(cast, job, "300")
        said = noted(cast, job, "50", adds="yes")
        assert "The job already comes to $440.39, $90.39 more than the $350.00 that is authorized in all." in said

    def test_a_sum_on_top_is_no_sum_up_to_which_charges_go(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "300")
        noted(cast, job, "300")
        assert "It is noted. Charges may go up to $350.00 in all." in noted(cast, job, "50", adds="yes")

    def test_what_the_shop_allows_on_top_is_said(self, cast: Cast, job: Job) -> None:
        change_authorization_rules(by=cast.owner, rules=rules(), seen_version=1, changes={"tolerance_percent": D(10)})
        charge(cast, job, "310")
        said = noted(cast, job, "300")
        assert "The job already comes to $310.00, $10.00 more than that, which the shop allows on top." in said
        assert above(job) == []

    def test_nothing_at_all_is_agreed_to(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "40")
        said = noted(cast, job, "0", words="Warranty")
        assert "It is noted, with a sum of zero. The job already comes to $40.00, $40.00 more than that." in said

    def test_an_answer_that_is_withdrawn_leaves_less(self, cast: Cast, job: Job) -> None:
        note(cast, job, "300")
        more = note(cast, job, "200", adds=True)
        charge(cast, job, "440.39")
        address = reverse("authorizations:withdraw", args=[job.number, more.pk])
        said = words_on(signed_in(cast.desk).post(address, {"reason": "Called off."}, follow=True))
        assert (
            "It no longer stands. The job already comes to $440.39, $140.39 more than the $300.00 that is authorized "
            "in all." in said
        )
        assert above(job) == [("above what was agreed, with tax", D("140.39"))]

    def test_withdrawing_all_of_it_says_no_sum(self, cast: Cast, job: Job) -> None:
        made = note(cast, job, "300")
        charge(cast, job, "200")
        address = reverse("authorizations:withdraw", args=[job.number, made.pk])
        said = words_on(signed_in(cast.desk).post(address, {"reason": "Called off."}, follow=True))
        assert "It no longer stands." in said
        assert "already comes to" not in said
        assert standing_of(job).limit.sum is None


class TestTheCallList:
    def test_it_names_the_job_with_sum_and_phone(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "440.39")
        note(cast, job, "300")
        assert above(job) == [("above what was agreed, with tax", D("140.39"))]
        client = signed_in(cast.desk)
        for said in (client.get("/calls/"), client.get("/calls/", headers={"HX-Request": "true"})):
            text = words_on(said)
            for words in (
                "$140.39 above what was agreed", "(555) 555-0123",
                "The job comes to more than was agreed. Tell the customer, and ask for another word.",
            ):  # fmt: skip
                assert words in text
        note(cast, job, "440.39")
        assert above(job) == []

    def test_tax_tells_and_a_discount_too(self, cast: Cast, job: Job) -> None:
        add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART])
        charge(cast, job, "100")
        note(cast, job, "105")
        assert above(job) == [("above what was agreed, with tax", D("1.00"))]
        change_job_discount(by=cast.desk, job=job, percent=D(5))
        assert above(job) == []

    def test_what_comes_on_top_and_what_the_shop_allows_count(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "351")
        note(cast, job, "300")
        note(cast, job, "50", adds=True)
        assert above(job) == [("above what was agreed, with tax", D("1.00"))]
        change_authorization_rules(by=cast.owner, rules=rules(), seen_version=1, changes={"tolerance_amount": D(1)})
        assert above(job) == []

    def test_nothing_above_a_ceiling_is_allowed(self, cast: Cast, job: Job) -> None:
        change_authorization_rules(by=cast.owner, rules=rules(), seen_version=1, changes={"tolerance_percent": D(50)})
        charge(cast, job, "310")
        note(cast, job, "300", is_ceiling=True)
        assert above(job) == [("above what was agreed, with tax", D("10.00"))]

    def test_a_manager_who_let_it_go_on_is_told_once(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "440.39")
        note(cast, job, "300")
        go_on(by=cast.manager, job=job, up_to=D(500), reason="On the lift")
        assert above(job) == []
        assert [row.sums for row in page_of_calls("").now] == [[("up to, with tax", D("500.00"))]]

    def test_what_has_no_sum_or_has_ended_is_not_in_it(self, cast: Cast, job: Job) -> None:
        charge(cast, job, "440.39")
        made = note(cast, job, "300")
        opened = note(cast, job, "0", is_open=True)
        assert above(job) == []
        withdraw_authorization(by=cast.desk, authorization=opened, reason="A slip.")
        assert above(job) == [("above what was agreed, with tax", D("140.39"))]
        withdraw_authorization(by=cast.desk, authorization=made, reason="Called off.")
        assert above(job) == []
        note(cast, job, "300")
        assert len(above(job)) == 1
        job.refresh_from_db()
        move_job(by=cast.desk, job=job, to="canceled", reason="Sold", seen_version=job.version)
        assert page_of_calls("").now == []


class TestWhatIsInvoiced:
    """$100.00 with 6 % was invoiced; the rate is 7 % now. The customer owes $106.00 for it all the same."""

    def invoiced(self, cast: Cast, job: Job, authorized: str) -> None:
        add_tax(by=cast.owner, name="State", percent=D(6), kinds=[ChargeKind.PART])
        charge(cast, job, "100")
        note(cast, job, authorized)
        make_invoice(by=cast.desk, job=job, seen_total=D(106))
        TaxRate.objects.update(percent=D(7))
        job.refresh_from_db()

    def test_a_rate_that_rose_brings_it_past_nothing(self, cast: Cast, job: Job) -> None:
        self.invoiced(cast, job, "106")
        assert (standing_of(job).total, standing_of(job).past) == (D(106), D(0))
        assert above(job) == []
        page = words_on(signed_in(cast.desk).get(reverse("workorders:lines", args=[job.number])))
        assert "more than may be charged" not in page

    def test_a_charge_is_stopped_by_what_the_customer_would_owe(self, cast: Cast, job: Job) -> None:
        self.invoiced(cast, job, "160")
        with pytest.raises(Refused, match=r"This brings the job to \$160\.57 with tax"):
            charge(cast, job, "51")
        charge(cast, job, "50")
        assert standing_of(job).total == D("159.50")

    def test_what_was_credited_leaves_its_room(self, cast: Cast, job: Job) -> None:
        self.invoiced(cast, job, "106")
        credit_invoice(by=cast.manager, invoice=job.invoices.get(), amount=D("21.40"), reason="Agreed")
        charge(cast, job, "20")
        assert standing_of(job).total == D(106)
