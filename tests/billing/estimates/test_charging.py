"""What of a given estimate is charged: as the customer answered, and nothing that was charged before by itself."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse

from billing.authorizations.actions import withdraw_authorization
from billing.authorizations.answers import chosen, offer_of
from billing.authorizations.models import DeferredWork
from billing.estimates.actions import add_estimate_line, change_estimate_line, charge_estimate, give_estimate
from billing.estimates.actions import start_estimate as start
from billing.estimates.models import EstimateLine
from billing.invoices.actions import credit_invoice, make_invoice
from commands.questions import Questions, asking
from commands.refusals import Refused
from tests.billing.authorizations.test_answer_pages import fields_of, signed_in
from tests.billing.authorizations.test_answers import Given, give, note
from tests.cast import Cast
from workorders.actions import strike_charge
from workorders.models import Job

D = Decimal
pytestmark = pytest.mark.django_db


def charged(job: Job) -> list[str]:
    return list(job.charges.filter(struck_at=None).order_by("pk").values_list("description", flat=True))


def page_of(cast: Cast, job: Job, revision: int = 1) -> Any:
    at = reverse("estimates:charge", args=[job.number, revision])
    return lxml.html.fromstring(signed_in(cast.desk).get(at).content.decode())


def ticks(page: Any) -> dict[str, tuple[bool, str]]:
    """Whether each is selected, and what stands beside it."""
    found = {}
    for box in page.xpath(
        "//input[@type='checkbox' and (starts-with(@name, 'line-') or starts-with(@name, 'option-'))]"
    ):
        around = " ".join(box.getparent().getparent().text_content().split())
        found[box.get("name").split("-", 1)[1]] = (box.checked, around)
    return found


def answered(cast: Cast, job: Job) -> Given:
    given = give(cast, job)
    note(cast, job, given, given.answer("Wax", "Exchange", without=("Haul-out", "Pump")))
    return given


def test_the_page_follows_the_answer_that_is_valid(cast: Cast, job: Job) -> None:
    given = answered(cast, job)
    page = page_of(cast, job)
    said = ticks(page)
    assert {name: said[str(one.key)][0] for name, one in given.lines.items()} == {
        "Replace the pump": True, "Pump": False, "Haul-out": False,
    }  # fmt: skip
    assert {name: said[str(one.key)][0] for name, one in given.options.items()} == {
        "Rebuild": False, "Exchange": True, "Wax": True,
    }  # fmt: skip
    for name in ("Pump", "Haul-out"):
        assert "By phone on" in said[str(given.lines[name].key)][1]
        assert "Wes Harrow declined it." in said[str(given.lines[name].key)][1]
    assert "Wes Harrow chose another one of these." in said[str(given.options["Rebuild"].key)][1]
    assert "declined" not in said[str(given.lines["Replace the pump"].key)][1]
    assert "Selected is what the customer’s answer to version 1 took." in " ".join(page.text_content().split())


def test_what_is_charged_is_what_was_agreed_to_and_the_sum_is_that_of_the_answer(cast: Cast, job: Job) -> None:
    given = answered(cast, job)
    at = reverse("estimates:charge", args=[job.number, 1])
    client = signed_in(cast.desk)
    assert client.post(at, fields_of(client.get(at).content)).status_code == 302
    assert charged(job) == ["Replace the pump", "Exchange", "Wax"]
    assert {one.what: one.state for one in DeferredWork.objects.all()} == {"Pump": "open", "Haul-out": "open"}
    assert given.estimate.job_id == job.pk


def test_without_saying_which_it_follows_the_answer_too(cast: Cast, job: Job) -> None:
    given = answered(cast, job)
    charge_estimate(by=cast.desk, estimate=given.estimate)
    assert charged(job) == ["Replace the pump", "Exchange", "Wax"]
    with pytest.raises(Refused, match="without being selected"):
        charge_estimate(by=cast.desk, estimate=given.estimate)


def test_a_fee_that_is_a_percentage_is_on_what_is_charged(cast: Cast, job: Job) -> None:
    """$1000 of labor and parts, of which $400 is declined: 5 % is $30, as the authorized sum has it, and not $50."""
    made = start(by=cast.desk, job=job)
    for told in (
        {"kind": "labor", "description": "Find it", "quantity": D(1), "unit_price": D(600)},
        {"kind": "part", "description": "Sender", "unit_price": D(400)},
        {"kind": "fee", "description": "Shop supplies", "percent": D(5), "percent_of": "both"},
    ):
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(1050))
    given = Given(made, {one.description: one for one in made.lines.all()}, {})
    answer = given.answer(without=("Sender",))
    assert chosen(offer_of(made), answer).total == D(630)
    note(cast, job, given, answer)
    charge_estimate(by=cast.desk, estimate=made)
    assert [(one.description, one.unit_price) for one in job.charges.order_by("pk")] == [
        ("Find it", D(600)), ("Shop supplies (5 % of $600.00 for labor and parts)", D(30)),
    ]  # fmt: skip


def test_storage_says_its_feet_and_days(cast: Cast, job: Job) -> None:
    made = start(by=cast.desk, job=job)
    told = {"kind": "fee", "description": "Storage", "feet": D(31), "days": 9, "unit_price": D("0.85")}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D("237.15"))
    charge_estimate(by=cast.desk, estimate=made)
    assert charged(job) == ["Storage (31 ft × 9 days)"]


def test_who_charges_what_was_declined_is_told_and_the_deferred_work_says_so(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer(without=("Haul-out",)))
    key = str(given.lines["Haul-out"].key)
    with asking(list), pytest.raises(Questions, match=r"“Haul-out: \$50.00”: By phone on .* Wes Harrow declined it\."):
        charge_estimate(by=cast.desk, estimate=given.estimate, lines=[key], options=[])
    assert charged(job) == []
    charge_estimate(by=cast.desk, estimate=given.estimate, lines=[key], options=[])
    work = DeferredWork.objects.get(what="Haul-out")
    step = work.steps.get()
    assert (work.state, step.job, step.by) == ("taken", job, cast.desk)
    assert step.reason == "Charged from version 1 of the estimate, though it was declined"


def test_of_a_concern_that_was_declined_whole_some_is_charged_then_the_rest(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer(without=("Replace the pump", "Pump")))
    work = DeferredWork.objects.get(what=job.lines.get().concern)
    keys = [str(given.lines[name].key) for name in ("Pump", "Replace the pump")]
    note_more(cast, job)
    charge_estimate(by=cast.desk, estimate=given.estimate, lines=keys[:1], options=[])
    work.refresh_from_db()
    assert work.state == "open"
    assert work.steps.get().reason == f"Job {job.number} has some of it charged: “Pump”. The rest is open"
    boat = signed_in(cast.desk).get(reverse("vessels:vessel", args=[job.vessel_id])).content.decode()
    assert f"Job {job.number} has some of it charged: “Pump”. The rest is open" in boat
    charge_estimate(by=cast.desk, estimate=given.estimate, lines=keys[1:], options=[])
    work.refresh_from_db()
    assert work.state == "taken"


def note_more(cast: Cast, job: Job) -> None:
    """The customer agrees to a larger sum by a word of its own."""
    from billing.authorizations.actions import note_authorization
    from billing.authorizations.queries import standing_of

    standing = standing_of(job)
    note_authorization(
        by=cast.desk, job=job, amount=D(2000), how="person", who="Wes Harrow", words="Go on", reached="",
        seen_total=standing.total, seen_authorized=standing.limit.authorized,
    )  # fmt: skip


def test_an_option_that_was_declined_is_taken_up_and_its_alternative_dropped(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer())
    note_more(cast, job)
    charge_estimate(by=cast.desk, estimate=given.estimate, lines=[], options=[str(given.options["Rebuild"].key)])
    assert {one.what: one.state for one in DeferredWork.objects.all()} == {
        "Rebuild": "taken", "Exchange": "dropped", "Wax": "open",
    }  # fmt: skip


def test_an_answer_that_was_withdrawn_or_to_an_earlier_version(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    made = note(cast, job, given, given.answer(without=("Haul-out",)))
    later = start(by=cast.desk, job=job)
    add_estimate_line(by=cast.desk, estimate=later, told={"kind": "fee", "description": "Launch", "unit_price": D(60)})
    pump = EstimateLine.objects.get(estimate=later, description="Pump")
    change_estimate_line(by=cast.desk, line=pump, seen_version=pump.version, changes={"unit_price": D(150)})
    give_estimate(by=cast.desk, estimate=later, how="printed", seen_total=offer_of(later).total(offer_of(later).own))
    said = ticks(page_of(cast, job, 2))
    haul = said[str(given.lines["Haul-out"].key)]
    assert haul[0] is False
    assert "Wes Harrow declined it in version 1." in haul[1]
    launch = said[str(EstimateLine.objects.get(estimate=later, description="Launch").key)]
    assert launch[0] is True
    assert "The customer’s last answer, to version 1, says nothing of it." in launch[1]
    withdraw_authorization(by=cast.desk, authorization=made, reason="It was another boat")
    page = page_of(cast, job, 2)
    assert ticks(page)[str(given.lines["Haul-out"].key)][0] is True
    assert "No answer of the customer is noted" in page.text_content()


def test_what_was_charged_and_credited_is_named_and_charged_again_only_where_it_is_selected(
    cast: Cast, job: Job
) -> None:
    given = give(cast, job)
    charge_estimate(by=cast.desk, estimate=given.estimate)
    invoice = make_invoice(by=cast.desk, job=job, seen_total=D("609.00"))
    gone = list(job.charges.filter(description__in=["Pump", "Haul-out"]))
    credit_invoice(by=cast.manager, invoice=invoice, charges=gone, reason="Not done")
    page = page_of(cast, job)
    said = ticks(page)
    for name in ("Pump", "Haul-out"):
        is_selected, words = said[str(given.lines[name].key)]
        assert is_selected is False
        assert f"It was charged before and credited (invoice {invoice}, credited by" in words
    assert str(given.lines["Replace the pump"].key) not in said
    shown = " ".join(page.text_content().split())
    assert f"1. {job.lines.get().concern}" not in shown
    assert f"Replace the pump: $400.00. On the job already, on invoice {invoice}." in shown
    client, at = signed_in(cast.desk), reverse("estimates:charge", args=[job.number, 1])
    pressed = client.post(at, fields_of(client.get(at).content))
    assert (pressed.status_code, "Nothing is selected that could be charged" in pressed.content.decode()) == (422, True)
    assert charged(job) == ["Replace the pump"]
    with pytest.raises(Refused, match="without being selected"):
        charge_estimate(by=cast.desk, estimate=given.estimate)
    chosen_one = f"line-{given.lines['Haul-out'].key}"
    asked = client.post(at, fields_of(client.get(at).content) | {chosen_one: "on"})  # as a page from before would
    text = " ".join(lxml.html.fromstring(asked.content.decode()).text_content().split())
    assert (asked.status_code, charged(job)) == (422, ["Replace the pump"])
    assert f"“Haul-out: $50.00”: It was charged before and credited (invoice {invoice}, credited by" in text
    [question] = lxml.html.fromstring(asked.content.decode()).xpath("//input[@name='asked']")
    assert client.post(at, fields_of(asked.content) | {"asked": question.get("value")}).status_code == 302
    assert charged(job) == ["Replace the pump", "Haul-out"]


def test_what_is_on_the_job_at_the_sum_of_an_earlier_version_says_both(cast: Cast, job: Job) -> None:
    """Hours, or days of storage, that are others in this version: the difference is not charged, and that is said."""
    made = start(by=cast.desk, job=job)
    for told in (
        {"kind": "labor", "description": "Find air leak", "quantity": D("3.35"), "unit_price": D("128.34"),
         "discount_percent": D(10)},
        {"kind": "fee", "description": "Storage", "feet": D(31), "days": 9, "unit_price": D("0.85")},
        {"kind": "fee", "description": "Launch", "unit_price": D(60)},
        {"kind": "fee", "description": "Supplies", "percent": D(5), "percent_of": "both"},
    ):  # fmt: skip
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=offer_of(made).total(offer_of(made).own))
    charge_estimate(by=cast.desk, estimate=made)
    later = start(by=cast.desk, job=job)
    for words, changes in (("Find air leak", {"quantity": D(4)}), ("Storage", {"days": 11})):
        line = EstimateLine.objects.get(estimate=later, description=words)
        change_estimate_line(by=cast.desk, line=line, seen_version=line.version, changes=changes)
    give_estimate(by=cast.desk, estimate=later, how="printed", seen_total=offer_of(later).total(offer_of(later).own))
    shown = " ".join(page_of(cast, job, 2).text_content().split())
    then = "The difference is not charged. To charge the sum of this version, void that charge, then select it here."
    assert f"Find air leak: $462.02. On the job at $386.95; $462.02 in this version. {then}" in shown
    assert f"Storage: $289.85. On the job at $237.15; $289.85 in this version. {then}" in shown
    assert "Launch: $60.00. On the job already." in shown
    with pytest.raises(Refused, match="Every line of this estimate is on the job already"):
        charge_estimate(by=cast.desk, estimate=later)
    strike_charge(by=cast.desk, charge=job.charges.get(description="Find air leak"))
    line = EstimateLine.objects.get(estimate=later, description="Find air leak")
    charge_estimate(by=cast.desk, estimate=later, lines=[str(line.key)], options=[])
    shown = " ".join(page_of(cast, job, 2).text_content().split())
    assert "Find air leak: $462.02. On the job already." in shown
    assert job.charges.get(description="Find air leak", struck_at=None).quantity == D(4)


def test_an_option_of_which_some_is_on_the_job_names_it(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    charge_estimate(by=cast.desk, estimate=given.estimate, lines=[], options=[str(given.options["Wax"].key)])
    later = start(by=cast.desk, job=job)
    option = later.options.get(name="Wax")
    told = {"kind": "fee", "description": "Polish", "unit_price": D(40), "option": option}
    add_estimate_line(by=cast.desk, estimate=later, told=told)
    give_estimate(by=cast.desk, estimate=later, how="printed", seen_total=offer_of(later).total(offer_of(later).own))
    assert "Of it “Wax” is on the job already." in ticks(page_of(cast, job, 2))[str(option.key)][1]


def test_what_was_voided_is_named_too(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    charge_estimate(by=cast.desk, estimate=given.estimate)
    strike_charge(by=cast.desk, charge=job.charges.get(description="Haul-out"))
    is_selected, words = ticks(page_of(cast, job))[str(given.lines["Haul-out"].key)]
    assert (is_selected, "It was charged before and voided." in words) == (False, True)


def test_a_percentage_says_what_it_was_made_of_when_it_is_charged(cast: Cast, job: Job) -> None:
    """5 % of $612.34 less its discount of $2.34 is $30.50, and the cap is $20."""
    made = start(by=cast.desk, job=job)
    for told in (
        {"kind": "labor", "description": "Find it", "quantity": D(1), "unit_price": D("612.34"),
         "discount_amount": D("2.34")},
        {"kind": "fee", "description": "S" * 160, "percent": D(5), "percent_of": "all", "cap": D(20)},
    ):  # fmt: skip
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(630))
    charge_estimate(by=cast.desk, estimate=made)
    fee = job.charges.get(kind="fee")
    assert (fee.unit_price, len(fee.description)) == (D(20), 160)
    assert fee.description.startswith("SSS")
    assert fee.description.endswith("S… (5 % of $610.00 for everything but fees, at most $20.00)")
