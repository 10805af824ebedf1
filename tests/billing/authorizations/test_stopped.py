"""A charge that was stopped is kept, asked about until somebody answers, and told with what followed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.authorizations import history
from billing.authorizations.actions import (
    change_authorization_rules,
    go_on,
    let_stopped_go,
    note_authorization,
    withdraw_authorization,
)
from billing.authorizations.models import LetGo, StoppedCharge
from billing.authorizations.queries import rules, standing_of
from billing.authorizations.stopped import open_stops, stop_of
from billing.estimates.actions import add_estimate_line, charge_estimate, give_estimate, start_estimate
from billing.invoices.actions import credit_invoice, make_invoice
from commands.envelope import together
from commands.models import Command
from commands.refusals import Refused
from staff.models import ShopProfile
from tests.cast import Cast
from workorders.actions import add_charge, open_job, strike_charge
from workorders.calls.listing import page_of_calls
from workorders.happened import history_of
from workorders.models import Charge, Job

D = Decimal
pytestmark = pytest.mark.django_db


def note(cast: Cast, job: Job, amount: str, **more: Any) -> Any:
    standing = standing_of(job)
    said: dict[str, Any] = {
        "how": "phone", "who": "Wes Harrow", "reached": "(555) 555-0140", "said_at": timezone.now(),
        "seen_total": standing.total, "seen_authorized": standing.limit.authorized,
    }  # fmt: skip
    return note_authorization(**{"by": cast.desk, "job": job, "amount": D(amount), **said, **more})


def charge(cast: Cast, job: Job, price: str, what: str = "Impeller") -> Charge:
    return add_charge(by=cast.desk, job=job, kind="fee", description=what, unit_price=D(price))


def stopped(cast: Cast, job: Job, price: str, what: str = "Impeller") -> StoppedCharge:
    with pytest.raises(Refused, match="Ask the customer again"):
        charge(cast, job, price, what)
    return StoppedCharge.objects.latest("pk")


def asked(job: Job) -> list[str]:
    calls = page_of_calls("")
    return [
        ask.words
        for row in (*calls.now, *calls.later)
        if row.job.pk == job.pk
        for ask in row.asks
        if ask.key.startswith("stopped-")
    ]


def test_what_was_stopped_is_kept_with_what_it_would_have_come_to(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    charge(cast, job, "80", "Labor")
    one = stopped(cast, job, "50")
    assert (one.before, one.after, one.limit, one.by, one.job) == (80, 130, 100, cast.desk, job)
    assert stop_of(one).beyond == 30
    assert stop_of(one).words("USD") == (
        "“Impeller” was stopped. The job stood at $80.00 and would have come to $130.00 with tax, $30.00 past the "
        "$100.00 at which charges stop."
    )
    assert not job.charges.filter(description="Impeller").exists()
    act = Command.objects.get(kind="keep_stopped_charge")
    assert (act.actor_id, act.told["total"]) == (cast.desk.pk, ["80.00", "130.00"])
    for change in (lambda: StoppedCharge.objects.update(after=1), lambda: StoppedCharge.objects.all().delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()


def test_the_same_that_is_tried_again_is_kept_once_and_another_beside_it(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    assert stopped(cast, job, "150") == stopped(cast, job, "150")
    stopped(cast, job, "151")
    stopped(cast, job, "150", "Housing")
    assert StoppedCharge.objects.count() == 3
    (words,) = asked(job)
    assert "“Housing” was stopped on" in words
    assert words.endswith("2 more were stopped before.")


def test_an_act_of_several_keeps_one_and_nothing_of_itself(cast: Cast, job: Job) -> None:
    """An estimate is charged whole or not at all: the sum before is that before the act."""
    note(cast, job, "100", how="person", words="Go on")
    charge(cast, job, "10", "Launch")
    made = start_estimate(by=cast.desk, job=job)
    for price in ("60", "70"):
        told = {"kind": "fee", "description": f"Fee {price}", "unit_price": D(price)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(130))
    with pytest.raises(Refused):
        charge_estimate(by=cast.desk, estimate=made)
    one = StoppedCharge.objects.get()
    assert (one.description, one.before, one.after) == ("Fee 70", 10, 140)
    assert stop_of(one).words("USD").startswith("“Fee 70” was stopped, and with it “Fee 60”. The job stood at $10.00")
    assert list(job.charges.values_list("description", flat=True)) == ["Launch"]
    with pytest.raises(Refused):
        both(cast, job)
    assert StoppedCharge.objects.latest("pk").description == "Rebuild"
    assert not job.charges.filter(description="Hose").exists()


def both(cast: Cast, job: Job) -> None:
    with together():
        charge(cast, job, "5", "Hose")
        charge(cast, job, "500", "Rebuild")


def test_what_is_refused_for_another_reason_is_no_stop(cast: Cast, job: Job) -> None:
    charge(cast, job, "5000")  # nothing is authorized: nothing stops
    with pytest.raises(Refused):
        charge(cast, job, "-5")
    note(cast, job, "6000")
    line = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Paint"]).lines.get()
    with pytest.raises(Refused, match="on another job"):
        add_charge(by=cast.desk, job=job, kind="fee", description="Fee", unit_price=D(9999), line=line)
    with pytest.raises(Refused, match="Your role"):
        add_charge(by=cast.tech, job=job, kind="fee", description="Fee", unit_price=D(9999))
    assert not StoppedCharge.objects.exists()


def test_it_is_asked_about_until_somebody_answers(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    stopped(cast, job, "150")
    assert len(asked(job)) == 1
    answer = note(cast, job, "200")
    assert asked(job) == []
    withdraw_authorization(by=cast.desk, authorization=answer, reason="It was about another boat")
    assert len(asked(job)) == 1, "the answer counts no more"
    go_on(by=cast.owner, job=job, up_to=D(160), reason="On the lift")
    assert asked(job) == []
    stopped(cast, job, "161")
    assert len(asked(job)) == 1


def test_what_went_onto_the_job_afterwards_is_asked_about_no_more(cast: Cast, job: Job) -> None:
    """A charge was voided to make room: the same words go through then, and nobody is to be asked."""
    note(cast, job, "100")
    room = charge(cast, job, "80", "Paint")
    stopped(cast, job, "50")
    stopped(cast, job, "60", "Housing")
    strike_charge(by=cast.desk, charge=room)
    made = charge(cast, job, "50", "impeller")
    (words,) = asked(job)
    assert "“Housing” was stopped on" in words
    assert "stopped before" not in words
    page = signed_page(cast, job)
    assert (page.count("ask the customer"), page.count("A charge of the same words")) == (1, 1)
    assert "“Impeller” was stopped. The job stood at $80.00" in page
    strike_charge(by=cast.desk, charge=made)
    assert asked(job) == [], "it went through, and the housing would now"
    assert "A charge of the same words" not in signed_page(cast, job)


def test_what_was_charged_invoiced_and_credited_since_is_asked_about_no_more(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    room = charge(cast, job, "80", "Paint")
    stopped(cast, job, "50")
    strike_charge(by=cast.desk, charge=room)
    made = charge(cast, job, "50")
    invoice = make_invoice(by=cast.desk, job=job, charges=[made], seen_total=D(50))
    credit_invoice(by=cast.owner, invoice=invoice, charges=[made], reason="Not fitted")
    charge(cast, job, "80", "Paint")
    assert asked(job) == []


def test_what_would_fit_by_now_settles_itself_and_what_would_not_is_told_in_the_past(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    room = charge(cast, job, "80", "Paint")
    stopped(cast, job, "50")
    (row,) = [row for row in page_of_calls("").now if row.job.pk == job.pk]
    (ask,) = [one for one in row.asks if one.key.startswith("stopped-")]
    assert (ask.sum, ask.sum_is) == (D(130), "it would have come to then, with tax")
    strike_charge(by=cast.desk, charge=room)
    assert asked(job) == []
    assert "ask the customer" not in signed_page(cast, job)
    charge(cast, job, "60", "Wax")
    assert len(asked(job)) == 1


def test_a_sum_that_was_raised_past_it_settles_it_by_whichever_way(cast: Cast, job: Job) -> None:
    """An answer that is withdrawn brings a larger one into force again; what the shop allows on top counts, too."""
    note(cast, job, "500")
    smaller = note(cast, job, "100")
    stopped(cast, job, "450")
    stopped(cast, job, "600", "Housing")
    withdraw_authorization(by=cast.desk, authorization=smaller, reason="It was about another boat")
    (words,) = asked(job)
    assert "“Housing” was stopped on" in words
    assert signed_page(cast, job).count("ask the customer") == 1
    kept = rules()
    change_authorization_rules(
        by=cast.owner, rules=kept, seen_version=kept.version, changes={"tolerance_amount": D(100)}
    )
    assert asked(job) == []
    with pytest.raises(Refused, match="No stopped charge of this job waits"):
        let_stopped_go(by=cast.desk, job=job, reason="Not needed")


def signed_page(cast: Cast, job: Job) -> str:
    client = Client()
    client.force_login(cast.desk)
    return client.get(reverse("authorizations:job", args=[job.number])).content.decode()


def test_it_is_let_go_with_a_reason_and_stays_told(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    stopped(cast, job, "150")
    stopped(cast, job, "160")
    for reason, sentence in (("", "Say why"), ("x" * 301, "cannot be saved as entered")):
        with pytest.raises(Refused, match=sentence):
            let_stopped_go(by=cast.desk, job=job, reason=reason)
    let_stopped_go(by=cast.desk, job=job, reason="The old one is fitted again")
    assert (asked(job), open_stops().count(), LetGo.objects.count()) == ([], 0, 2)
    with pytest.raises(Refused, match="No stopped charge of this job waits"):
        let_stopped_go(by=cast.desk, job=job, reason="Twice")
    titles = [step.title for step in history_of(cast.desk, job, "USD")]
    assert titles[-4:] == ["Charge stopped", "Charge stopped", "Stopped charge let go", "Stopped charge let go"]


def test_the_history_names_the_answer_and_what_followed_with_sums_for_those_who_see_them(cast: Cast, job: Job) -> None:
    note(cast, job, "500", is_ceiling=True)
    made = charge(cast, job, "450", "Rebuild")
    stopped(cast, job, "60", "Housing")
    go_on(by=cast.owner, job=job, up_to=D(520), reason="The boat is on the lift")
    strike_charge(by=cast.desk, charge=made)
    told = [(step.title, step.told, step.written, step.who) for step in history.steps(cast.desk, job, "USD")]
    assert sorted(told) == sorted(
        [
            ("Customer’s answer", "Wes Harrow agreed to no more than $500.00, by phone.", "", "Dora Quill"),
            (
                "Charge stopped",
                "“Housing” was stopped. The job stood at $450.00 and would have come to $510.00 with tax, $10.00 "
                "past the $500.00 at which charges stop.",
                "",
                "Dora Quill",
            ),
            ("Gone on past what was authorized", "Up to $520.00 with tax.", "The boat is on the lift", "Orla Brandt"),
        ]
    )
    ShopProfile.objects.update(technicians_see_prices=False)
    hidden = " ".join(step.told for step in history.steps(cast.tech, job, "USD"))
    assert "$" not in hidden
    assert "Wes Harrow agreed, by phone." in hidden
    client = Client()
    client.force_login(cast.tech)
    page = client.get(f"/jobs/{job.number}/").content.decode()
    assert ("Charge stopped" in page, "$510.00" in page) == (True, False)


def test_the_pages_ask_and_let_go(cast: Cast, job: Job) -> None:
    note(cast, job, "100")
    stopped(cast, job, "150")
    client = Client()
    client.force_login(cast.desk)
    address = reverse("authorizations:job", args=[job.number])
    page = client.get(address).content.decode()
    assert ("$50.00 past the $100.00" in page, "ask the customer" in page) == (True, True)
    let_go = reverse("authorizations:let_go", args=[job.number])
    assert client.post(let_go, {"reason": ""}).status_code == 422
    assert client.post(let_go, {"reason": "Not needed after all"}).status_code == 302
    page = client.get(address).content.decode()
    assert ("Not needed after all" in page, "ask the customer" in page, let_go in page) == (True, False, False)
