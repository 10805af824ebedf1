"""What a customer authorized, and what stops where charges would pass it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from billing.authorizations.actions import (
    change_authorization_rules,
    go_on,
    note_authorization,
    withdraw_authorization,
)
from billing.authorizations.guarding import limit_words, words_without_sums
from billing.authorizations.limits import limit_of
from billing.authorizations.models import Authorization
from billing.authorizations.queries import rules, standing_of
from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from commands.models import Command
from commands.questions import Questions, asking
from commands.refusals import Refused
from staff.models import ShopProfile
from staff.policy import Role
from tests.cast import Cast
from vessels.wording import moment_words
from workorders.actions import add_charge, move_job, strike_charge
from workorders.models import Charge, Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax

D = Decimal


@dataclass(frozen=True)
class Said:
    amount: Decimal
    adds: bool = False
    is_ceiling: bool = False
    is_open: bool = False


@pytest.mark.parametrize(
    ("agreed", "percent", "amount", "up_to", "expected"),
    [
        ([], "10", "50", None, None),
        ([("500",)], None, None, None, "500"),
        ([("500",)], "10", None, None, "550"),
        ([("500",)], "10", "40", None, "540"),  # the smaller of both
        ([("500",)], "10", "60", None, "550"),
        ([("500",)], None, "40", None, "540"),
        ([("500",)], "0", "40", None, "500"),
        ([("33.33",)], "10", None, None, "36.66"),  # 3.333
        ([("500", False, True)], "10", "40", None, "500"),  # not to exceed: nothing on top
        ([("500",), ("300", True)], None, None, None, "800"),
        ([("500", False, True), ("300", True)], "10", None, None, "800"),  # the ceiling still stands
        ([("500", False, True), ("900",)], "10", None, None, "990"),  # another word takes its place
        ([("500",), ("200",)], None, None, None, "200"),  # less than before
        ([("500",), ("0",)], None, None, None, "0"),
        ([("500",)], None, None, "650", "650"),
        ([("500", False, True)], "10", None, "650", "650"),
        ([("500",)], "10", None, "510", "550"),
        ([("200", True)], None, None, None, "200"),
    ],
)
def test_where_charges_stop(
    agreed: list[tuple[Any, ...]], percent: str | None, amount: str | None, up_to: str | None, expected: str | None
) -> None:
    found = limit_of(
        [Said(D(one[0]), *one[1:]) for one in agreed],
        percent=None if percent is None else D(percent),
        amount=None if amount is None else D(amount),
        up_to=None if up_to is None else D(up_to),
        currency="USD",
    )
    assert found.sum == (None if expected is None else D(expected))


money = st.decimals(min_value=0, max_value=10**6, places=2)


@given(
    st.lists(st.builds(Said, money, st.booleans(), st.booleans(), st.just(False)), min_size=1, max_size=6),
    st.none() | st.decimals(min_value=0, max_value=100, places=3),
    st.none() | money,
)
def test_the_shop_never_goes_further_than_it_says(
    agreed: list[Said], percent: Decimal | None, amount: Decimal | None
) -> None:
    found = limit_of(agreed, percent=percent, amount=amount, up_to=None, currency="USD")
    assert found.authorized is not None
    assert found.sum is not None
    assert found.sum >= found.authorized
    if agreed[-1].is_ceiling:
        assert found.sum == found.authorized
    if amount is not None:
        assert found.sum - found.authorized <= amount
    if percent is not None:
        assert found.sum - found.authorized <= found.authorized * percent / 100 + D("0.005")


def note(cast: Cast, job: Job, amount: str, **more: Any) -> Authorization:
    standing = standing_of(job)
    said = {
        "how": "phone", "who": "Wes Harrow", "reached": "(555) 555-0123", "said_at": timezone.now(),
        "seen_total": standing.total, "seen_authorized": standing.limit.authorized,
    }  # fmt: skip
    return note_authorization(**{"by": cast.desk, "job": job, "amount": D(amount), **said, **more})


def charge(cast: Cast, job: Job, price: str, **more: Any) -> Charge:
    return add_charge(by=cast.desk, job=job, kind="part", description="Part", unit_price=D(price), **more)


@pytest.mark.django_db
class TestOnAJob:
    def test_a_charge_past_the_sum_is_stopped_until_the_customer_is_asked_again(self, cast: Cast, job: Job) -> None:
        add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART])
        charge(cast, job, "900")  # nothing is authorized: nothing stops
        note(cast, job, "1000")
        charge(cast, job, "43.39")
        with pytest.raises(Refused) as refusal:
            charge(cast, job, "0.02")
        day = timezone.localdate()
        assert refusal.value.sentence == (
            f"This brings the job to $1,000.01 with tax. By phone on {day:%b} {day.day}, {day.year} Wes Harrow agreed "
            f"to $1,000.00. Ask the customer again and note the answer under “Authorization” on the "
            "Lines tab, or have a manager go on with a reason."
        )
        assert job.charges.count() == 2
        note(cast, job, "100", adds=True)
        charge(cast, job, "94")
        assert standing_of(job).left == D("0.37")

    def test_what_costs_nothing_or_less_is_never_stopped(self, cast: Cast, job: Job) -> None:
        first = charge(cast, job, "900")
        note(cast, job, "500", words="Stop there.")
        assert standing_of(job).left == D("-400.00")
        charge(cast, job, "0")
        with pytest.raises(Refused, match=r"brings the job to \$900\.01"):
            charge(cast, job, "0.01")
        strike_charge(by=cast.desk, charge=first)
        charge(cast, job, "500")

    def test_a_manager_goes_on_with_a_reason_until_the_customer_says_something_else(self, cast: Cast, job: Job) -> None:
        with pytest.raises(Refused, match="Nothing is authorized"):
            go_on(by=cast.manager, job=job, up_to=D(900), reason="The boat is on the lift")
        note(cast, job, "500")
        with pytest.raises(Refused, match="go on past what a customer authorized"):
            go_on(by=cast.desk, job=job, up_to=D(900), reason="The boat is on the lift")
        for up_to, reason, field in [("500", "Lift", "up_to"), ("900", " ", "reason")]:
            with pytest.raises(Refused) as refusal:
                go_on(by=cast.manager, job=job, up_to=D(up_to), reason=reason)
            assert list(refusal.value.fields) == [field]
        go_on(by=cast.manager, job=job, up_to=D(900), reason="The boat is on the lift")
        assert Command.objects.get(kind="go_on").told == {"limit": ["500.00", "900"]}
        charge(cast, job, "900")
        with pytest.raises(Refused, match=r"Mina Sparrow went on up to \$900\.00"):
            charge(cast, job, "0.01")
        note(cast, job, "600")
        assert standing_of(job).limit.sum == D(600)

    def test_the_shops_own_rule_is_allowed_on_top_but_not_of_a_ceiling(self, cast: Cast, job: Job) -> None:
        own = rules()
        said = {"tolerance_percent": D(10), "tolerance_amount": D(40), "citation": "our terms"}
        change_authorization_rules(by=cast.owner, rules=own, seen_version=own.version, changes=said)
        note(cast, job, "500")
        charge(cast, job, "540")
        with pytest.raises(Refused, match=r"The shop allows \$40\.00 on top"):
            charge(cast, job, "0.01")
        note(cast, job, "600", is_ceiling=True)
        charge(cast, job, "60")
        with pytest.raises(Refused, match=r"agreed to no more than \$600\.00\."):
            charge(cast, job, "0.01")

    def test_what_has_to_be_known_of_an_answer_is_not_called_optional(self, cast: Cast, job: Job) -> None:
        """What is refused when it is empty, in one way of agreeing or in another, says so; in person, empty is now."""
        page = html.fromstring(
            signed_in(cast.desk).get(reverse("authorizations:job", args=[job.number])).content.decode()
        )
        labels = {one.get("for", "").removeprefix("id_"): one.text_content() for one in page.xpath("//label[@for]")}
        for name in ("said_at", "reached", "words", "who", "amount"):
            assert "optional" not in labels[name], name
        assert "optional" in labels["picture"]
        made = note(cast, job, "500", how="person", words="Yes", said_at=None)
        assert timezone.now() - made.said_at < timedelta(minutes=1)

    @pytest.mark.parametrize(
        ("said", "field"),
        [
            ({"reached": ""}, "reached"),
            ({"said_at": None}, "said_at"),
            ({"who": " "}, "who"),
            ({"how": "pigeon"}, "how"),
            ({"how": "message"}, "words"),
            ({"how": "message", "words": "Yes", "said_at": None}, "said_at"),
            ({"how": "person"}, "words"),
            ({"how": "paper", "said_at": None}, "said_at"),
            ({"amount": "0"}, "words"),
            ({"amount": "-1"}, "amount"),
            ({"said_at": timezone.now() + timedelta(days=1)}, "said_at"),
            ({"said_at": timezone.now() - timedelta(days=800)}, "said_at"),
        ],
    )
    def test_what_has_to_be_known_of_an_answer(self, cast: Cast, job: Job, said: dict[str, Any], field: str) -> None:
        with pytest.raises(Refused) as refusal:
            note(cast, job, **{"amount": "500", **said})
        assert list(refusal.value.fields) == [field]
        assert not job.authorizations.exists()

    def test_an_answer_and_a_charge_that_cross_are_told(self, cast: Cast, job: Job) -> None:
        """The page was opened, a charge came in, then the answer arrives; and an answer of somebody else."""
        before = {"seen_total": standing_of(job).total, "seen_authorized": None}
        charge(cast, job, "300")
        with pytest.raises(Refused, match=r"comes to \$300\.00 now, and nothing is authorized"):
            note(cast, job, "250", **before)
        note(cast, job, "400")
        with pytest.raises(Refused, match=r"and \$400\.00 is authorized"):
            note(cast, job, "350", seen_authorized=None)
        with pytest.raises(Refused, match="Ask the customer again"):
            charge(cast, job, "100.01")

    def test_what_is_withdrawn_counts_no_longer_and_stays_visible(self, cast: Cast, job: Job) -> None:
        note(cast, job, "500")
        second = note(cast, job, "900")
        with pytest.raises(Refused, match="Write why"):
            withdraw_authorization(by=cast.desk, authorization=second, reason=" ")
        withdraw_authorization(by=cast.desk, authorization=second, reason="Called again: no")
        assert standing_of(job).limit.sum == D(500)
        assert Command.objects.get(kind="withdraw_authorization").told == {"authorized": ["900.00", "500.00"]}
        text = signed_in(cast.desk).get(reverse("authorizations:job", args=[job.number])).content.decode()
        assert "withdrawn by Dora Quill" in text
        assert "Called again: no" in text

    def test_a_job_with_a_sum_is_authorized_without_another_word(self, cast: Cast, job: Job) -> None:
        note(cast, job, "0", words="Look at it at no charge")
        job.refresh_from_db()
        with pytest.raises(Refused, match="Nothing is priced on this job"):
            move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version)
        note(cast, job, "500")
        move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version)
        assert job.state == "authorized"

    def test_an_answer_names_the_version_that_it_is_about(self, cast: Cast, job: Job) -> None:
        made = start_estimate(by=cast.desk, job=job)
        told = {"kind": "fee", "description": "Haul-out", "unit_price": D(90)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
        give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(90))
        assert note(cast, job, "90").revision == 1

    def test_what_was_agreed_before_the_job_was_opened_is_asked_about_once(self, cast: Cast, job: Job) -> None:
        """The minute in which it was opened is not before it; what nobody waits for is kept."""
        opened = job.opened_at.replace(second=0, microsecond=0)
        before = opened - timedelta(minutes=1)
        with asking(list):
            assert note(cast, job, "500", said_at=opened).said_at == opened
            with pytest.raises(Questions, match="That is before the job was opened: ") as asked:
                note(cast, job, "600", said_at=before)
        assert list(asked.value.fields) == ["said_at"]
        with asking(lambda: [f"agreed at {before.isoformat()}"]):
            assert note(cast, job, "600", said_at=before).said_at == before
        assert note(cast, job, "700", said_at=before).said_at == before

    def test_nothing_comes_on_top_of_nothing(self, cast: Cast, job: Job) -> None:
        """Nor on top of what was withdrawn; a sum of zero is something that was agreed to."""
        said = "Nothing is authorized that this could come on top of"
        with pytest.raises(Refused, match=said) as refused:
            note(cast, job, "100", adds=True)
        assert list(refused.value.fields) == ["adds"]
        first = note(cast, job, "0", words="Warranty")
        note(cast, job, "100", adds=True)
        withdraw_authorization(by=cast.desk, authorization=job.authorizations.get(adds=True), reason="Misheard")
        withdraw_authorization(by=cast.desk, authorization=first, reason="Misheard")
        with pytest.raises(Refused, match=said):
            note(cast, job, "100", adds=True)

    def test_who_notes_answers_and_makes_rules(self, cast: Cast, job: Job) -> None:
        with pytest.raises(Refused, match="priced lines"):
            note(cast, job, "500", by=cast.tech)
        own = rules()
        for role in (Role.FRONT_DESK, Role.TECHNICIAN, Role.MANAGER):
            with pytest.raises(Refused, match="change the shop profile"):
                change_authorization_rules(by=cast.person(role), rules=own, seen_version=1, changes={"citation": "x"})

    def test_the_pages(self, cast: Cast, job: Job) -> None:
        client, at = signed_in(cast.desk), reverse("authorizations:job", args=[job.number])
        assert "Nothing is authorized yet." in client.get(at).content.decode()
        told = {"amount": "500", "adds": "no", "how": "phone", "who": "Wes Harrow", "reached": "",
                "said_at": "2026-11-02T14:10", "seen_total": "0.00", "seen_authorized": ""}  # fmt: skip
        refused = client.post(at, told)
        assert (refused.status_code, "Enter the number" in refused.content.decode()) == (422, True)
        yesterday = (timezone.localtime() - timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
        told |= {"reached": "555-0123", "said_at": yesterday}
        asked = client.post(at, told)
        said = f"That is before the job was opened: {moment_words(timezone.localtime(job.opened_at))}."
        assert (asked.status_code, said in asked.content.decode()) == (422, True)
        assert not job.authorizations.exists()
        now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
        assert client.post(at, told | {"said_at": now}).status_code == 302
        add = reverse("workorders:charge_add", args=[job.number])
        fee = {"step": "add", "kind": "fee", "description": "Haul-out", "quantity": "1", "unit_price": "501"}
        stopped = client.post(add, fee)
        assert (stopped.status_code, "This brings the job to $501.00" in stopped.content.decode()) == (422, True)
        lines = client.get(reverse("workorders:lines", args=[job.number])).content.decode()
        assert "$500.00</b> may still be charged" in lines
        assert at in lines
        on = reverse("authorizations:go_on", args=[job.number])
        assert client.get(on).status_code == 403
        assert signed_in(cast.manager).post(on, {"up_to": "600", "reason": "On the lift"}).status_code == 302
        assert client.post(add, fee).status_code == 302
        assert "On the lift" in client.get(at).content.decode()
        page = signed_in(cast.owner).get(reverse("authorizations:rules")).content.decode()
        assert "California Harbors and Navigation Code, §§ 410–418" in page
        assert "local law decides" in page


def signed_in(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({}, "By phone on {on} Wes Harrow agreed to $500.00."),
        ({"is_ceiling": True}, "By phone on {on} Wes Harrow agreed to no more than $500.00."),
        ({"how": "message", "words": "Yes"}, "In a message of {on} Wes Harrow agreed to $500.00."),
        ({"how": "paper"}, "On a signed sheet of {on} Wes Harrow agreed to $500.00."),
        ({"how": "person", "words": "Yes"}, "In person on {on} Wes Harrow agreed to $500.00."),
        (
            {"amount": "0", "words": "Look at it"},
            "By phone on {on} Wes Harrow agreed, with a sum of $0.00: “Look at it”. "
            "So a charge that brings the job above $0.00 is stopped.",
        ),
    ],
)
def test_what_was_agreed_reads_as_people_say_it(cast: Cast, job: Job, told: dict[str, Any], says: str) -> None:
    note(cast, job, **{"amount": "500", **told})
    day = timezone.localdate()
    on = f"{day:%b} {day.day}, {day.year}"
    assert limit_words(standing_of(job)) == says.format(on=on)
    assert words_without_sums(standing_of(job)) == says.format(on=on).partition(" agreed")[0] + " agreed."


@pytest.mark.django_db
def test_whoever_sees_no_prices_reads_who_agreed_and_no_sum(cast: Cast, job: Job) -> None:
    client = Client()
    client.force_login(cast.tech)
    address = reverse("workorders:lines", args=[job.number])
    note(cast, job, "61.17")
    note(cast, job, "9.13", adds=True)
    ShopProfile.objects.update(technicians_see_prices=False)
    page = client.get(address).content.decode()
    assert "Wes Harrow agreed." in page
    assert not re.search(r"61\.17|9\.13|70\.30|still be charged", page)
    ShopProfile.objects.update(technicians_see_prices=True)
    assert "agreed to $9.13 more, $70.30 in all." in client.get(address).content.decode()


@pytest.mark.django_db
def test_what_came_on_top_is_told_with_what_it_makes_in_all(cast: Cast, job: Job) -> None:
    note(cast, job, "500")
    note(cast, job, "80.50", adds=True)
    assert "agreed to $80.50 more, $580.50 in all." in limit_words(standing_of(job))
    note(cast, job, "10", adds=True, is_ceiling=True)
    assert "agreed to $10.00 more, $590.50 in all, not to be exceeded." in limit_words(standing_of(job))


@pytest.mark.django_db
def test_no_road_leads_to_authorized_for_nothing_without_a_word(cast: Cast, job: Job) -> None:
    """The action, a late one, the job's page, the board with and without htmx; an estimate of zero is no price."""
    made = start_estimate(by=cast.desk, job=job)
    told = {"kind": "fee", "description": "Look at it", "unit_price": D(0)}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(0))
    charge(cast, job, "0")
    note(cast, job, "0", words="Look at it at no charge")
    job.refresh_from_db()
    moves: list[dict[str, Any]] = [{}, {"happened_at": timezone.now() - timedelta(hours=3)}, {"reason": "  "}]
    for more in moves:
        with pytest.raises(Refused, match="Nothing is priced on this job"):
            move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version, **more)
    client = signed_in(cast.desk)
    sent = {"to": "authorized", "seen_version": str(job.version), "seen_state": "estimate"}
    for headers in ({}, {"HX-Request": "true"}):
        page = client.post(reverse("workorders:move", args=[job.number]), sent, headers=headers)
        assert (page.status_code, "Nothing is priced on this job" in page.content.decode()) == (422, True)
        client.post(reverse("workorders:board"), sent | {"job": str(job.number)}, headers=headers)  # it moves nothing
    job.refresh_from_db()
    assert job.state == "estimate"
    move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version, reason="By word: look at it for nothing")
    assert job.state == "authorized"


@pytest.mark.django_db
def test_every_charge_added_changed_or_struck_is_in_the_journal_with_the_sum_before_and_after(
    cast: Cast, job: Job
) -> None:
    """A charge is changed by voiding it and adding another: nothing else in the house changes one."""
    first = charge(cast, job, "100")
    strike_charge(by=cast.owner, charge=first)
    charge(cast, job, "120")
    rows = Command.objects.filter(kind__in=["add_charge", "strike_charge"]).order_by("received_at")
    told = {(one.kind, one.actor.name, *one.told["job_total"]) for one in rows}
    assert told == {
        ("add_charge", "Dora Quill", "0.00", "100.00"), ("strike_charge", "Orla Brandt", "100.00", "0.00"),
        ("add_charge", "Dora Quill", "0.00", "120.00"),
    }  # fmt: skip
    assert all(one.received_at is not None for one in rows)
    page = signed_in(cast.owner).get(reverse("staff:journal")).content.decode()
    assert "Charge added to a job" in page
