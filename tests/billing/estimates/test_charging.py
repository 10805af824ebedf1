"""What of a given estimate is charged: as the customer answered, and nothing that was charged before by itself."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse

from billing.authorizations.actions import withdraw_authorization
from billing.authorizations.answers import chosen, offer_of
from billing.authorizations.models import DeferredWork, StoppedCharge
from billing.estimates.actions import (
    add_estimate_line,
    change_estimate_line,
    change_estimate_terms,
    charge_estimate,
    give_estimate,
    remove_estimate_line,
)
from billing.estimates.actions import start_estimate as start
from billing.estimates.models import EstimateLine
from billing.invoices.actions import credit_invoice, make_invoice
from commands.models import Command
from commands.questions import Questions, asking
from commands.refusals import Refused
from tests.billing.authorizations.test_answer_pages import fields_of, signed_in
from tests.billing.authorizations.test_answers import Given, give, note
from tests.billing.authorizations.test_stopped import note as authorize
from tests.cast import Cast
from workorders.actions import change_job_discount, charge_again, strike_charge
from workorders.models import Job
from workorders.queries import job_sum

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


def given_again(cast: Cast, job: Job, *changes: tuple[str, dict[str, Any]], **terms: Any) -> Any:
    """The next version, in which some lines are others; given."""
    made = start(by=cast.desk, job=job)
    for words, change in changes:
        line = EstimateLine.objects.get(estimate=made, description=words)
        change_estimate_line(by=cast.desk, line=line, seen_version=line.version, changes=change)
    if terms:
        made.refresh_from_db()
        change_estimate_terms(by=cast.desk, estimate=made, seen_version=made.version, changes=terms)
        made.refresh_from_db()
    offer = offer_of(made)
    return give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=offer.total(offer.own))


def first_version(cast: Cast, job: Job, *lines: dict[str, Any], **terms: Any) -> Any:
    """A version of these lines, given and charged."""
    made = start(by=cast.desk, job=job)
    for told in lines:
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    if terms:
        made.refresh_from_db()
        change_estimate_terms(by=cast.desk, estimate=made, seen_version=made.version, changes=terms)
        made.refresh_from_db()
    offer = offer_of(made)
    given = give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=offer.total(offer.own))
    charge_estimate(by=cast.desk, estimate=given)
    return given


def sums_on(job: Job) -> list[tuple[str, Decimal, Decimal]]:
    """What counts on the job: words, quantity and price."""
    found = job.charges.filter(struck_at=None).order_by("pk")
    return list(found.values_list("description", "quantity", "unit_price"))


LEAK = {"kind": "labor", "description": "Find air leak", "quantity": D("3.35"), "unit_price": D("128.34"),
        "discount_percent": D(10)}  # fmt: skip
STORAGE = {"kind": "fee", "description": "Storage", "feet": D(31), "days": 9, "unit_price": D("0.85")}
LAUNCH = {"kind": "fee", "description": "Launch", "unit_price": D(60)}
SUPPLIES = {"kind": "fee", "description": "Supplies", "percent": D(5), "percent_of": "both"}
TENTH = {**SUPPLIES, "percent": D(10)}
LABOR = {"kind": "labor", "description": "Seals", "quantity": D(2), "unit_price": D(100)}


def test_a_later_version_brings_the_job_to_its_sums_in_one_touch(cast: Cast, job: Job) -> None:
    """Hours, or days of storage, that are others in this version: what is on the job is replaced; the fee follows."""
    first_version(cast, job, LEAK, STORAGE, LAUNCH, SUPPLIES)
    later = given_again(cast, job, ("Find air leak", {"quantity": D(4)}), ("Storage", {"days": 11}))
    page = page_of(cast, job, 2)
    shown = " ".join(page.text_content().split())
    then = "Selected, that charge is voided and the sum of this version is charged."
    assert f"On the job at $386.95; $462.02 in this version. {then}" in shown
    assert f"On the job at $237.15; $289.85 in this version. {then}" in shown
    assert "Launch: $60.00. On the job already." in shown
    assert sum(is_on and "in this version" in words for is_on, words in ticks(page).values()) == len(ticks(page)) == 2
    client, at = signed_in(cast.desk), reverse("estimates:charge", args=[job.number, 2])
    assert client.post(at, fields_of(client.get(at).content)).status_code == 302
    job.refresh_from_db()
    assert job_sum(job, currency="USD").totals.total == later.total
    assert [(words, quantity) for words, quantity, _ in sums_on(job)] == [
        ("Launch", D(1)), ("Find air leak", D(4)), ("Storage (31 ft × 11 days)", D(341)),
        ("Supplies (5 % of $462.02 for labor and parts)", D(1)),
    ]  # fmt: skip
    with pytest.raises(Refused, match="Every line of this estimate is on the job already"):
        charge_estimate(by=cast.desk, estimate=later)


def test_a_lower_sum_takes_the_place_of_what_is_not_invoiced(cast: Cast, job: Job) -> None:
    first_version(cast, job, LABOR, LAUNCH)
    later = given_again(cast, job, ("Seals", {"quantity": D(1)}))
    charge_estimate(by=cast.desk, estimate=later)
    assert sums_on(job) == [("Launch", D(1), D(60)), ("Seals", D(1), D(100))]


def test_of_what_is_invoiced_the_difference_is_charged(cast: Cast, job: Job) -> None:
    first_version(cast, job, LABOR, LAUNCH)
    make_invoice(by=cast.desk, job=job, seen_total=D(260))
    later = given_again(cast, job, ("Seals", {"quantity": D("3.5")}), ("Launch", {"unit_price": D(75)}))
    shown = " ".join(page_of(cast, job, 2).text_content().split())
    assert (
        "On the job at $200.00, on invoice INV-1001; $350.00 in this version. Selected, the difference is charged."
        in shown
    )
    charge_estimate(by=cast.desk, estimate=later)
    assert sums_on(job)[2:] == [
        ("Seals (added by version 2)", D("1.5"), D(100)), ("Launch (added by version 2)", D(1), D(15)),
    ]  # fmt: skip
    third = given_again(cast, job, ("Seals", {"quantity": D(4)}))
    charge_estimate(by=cast.desk, estimate=third)
    assert sums_on(job)[2:] == [
        ("Launch (added by version 2)", D(1), D(15)),
        ("Seals (added by version 3)", D(2), D(100)),
    ]
    job.refresh_from_db()
    assert job_sum(job, currency="USD").totals.total == third.total == D(475)


def test_less_than_what_is_invoiced_is_credited_by_hand(cast: Cast, job: Job) -> None:
    first_version(cast, job, LABOR)
    make_invoice(by=cast.desk, job=job, seen_total=D(200))
    later = given_again(cast, job, ("Seals", {"quantity": D(1)}))
    shown = " ".join(page_of(cast, job, 2).text_content().split())
    assert (
        "Seals: $100.00. On the job at $200.00, on invoice INV-1001; $100.00 in this version. The difference is not "
        "charged. To charge the sum of this version, credit that charge, then select it here."
    ) in shown
    with pytest.raises(Refused, match="Every line of this estimate is on the job already"):
        charge_estimate(by=cast.desk, estimate=later)


def test_an_answer_to_the_version_before_does_not_select_what_costs_more_now(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer())
    charge_estimate(by=cast.desk, estimate=given.estimate)
    later = given_again(cast, job, ("Haul-out", {"unit_price": D(70)}))
    is_selected, words = ticks(page_of(cast, job, 2))[str(given.lines["Haul-out"].key)]
    assert (is_selected, "On the job at $50.00; $70.00 in this version." in words) == (False, True)
    with pytest.raises(Refused, match="without being selected"):
        charge_estimate(by=cast.desk, estimate=later)


def test_past_what_was_authorized_nothing_of_it_is_changed(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer())
    charge_estimate(by=cast.desk, estimate=given.estimate)
    before = sums_on(job)
    later = given_again(cast, job, ("Haul-out", {"unit_price": D(90)}))
    with pytest.raises(Refused, match="agreed to"):
        charge_estimate(by=cast.desk, estimate=later, lines=[str(given.lines["Haul-out"].key)], options=[])
    assert sums_on(job) == before


def test_a_line_that_was_left_out_stays_charged_and_is_said(cast: Cast, job: Job) -> None:
    first_version(cast, job, LABOR, LAUNCH)
    made = start(by=cast.desk, job=job)
    remove_estimate_line(by=cast.desk, estimate=made, key=made.lines.get(description="Launch").key)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(200))
    shown = " ".join(page_of(cast, job, 2).text_content().split())
    assert "On the job, and not in this version Launch: $60.00. It stays charged until it is voided." in shown


@pytest.mark.parametrize(
    ("first", "second", "said", "ends"),
    [
        ({"discount_percent": D(10)}, {"discount_percent": None}, "none in this version, and 10 % on the job", None),
        ({"discount_percent": D(10)}, {"discount_percent": D(5)}, "5 % in this version, and 10 % on the job", D(5)),
    ],
)
def test_the_discount_of_the_later_version_becomes_the_jobs(
    cast: Cast, job: Job, first: Any, second: Any, said: str, ends: Decimal | None
) -> None:
    first_version(cast, job, LABOR, **first)
    later = given_again(cast, job, **second)
    assert f"The discount on the whole is {said}." in " ".join(page_of(cast, job, 2).text_content().split())
    charge_estimate(by=cast.desk, estimate=later)
    job.refresh_from_db()
    assert job.discount_percent == ends
    assert job_sum(job, currency="USD").totals.total == later.total


def test_where_only_the_discount_is_another_that_is_what_is_said(cast: Cast, job: Job) -> None:
    first_version(cast, job, LABOR)
    given_again(cast, job, discount_amount=D(30))
    client, at = signed_in(cast.desk), reverse("estimates:charge", args=[job.number, 2])
    answer = client.post(at, fields_of(client.get(at).content), follow=True)
    text = " ".join(lxml.html.fromstring(answer.content.decode()).text_content().split())
    assert f"The discount on the job is that of the estimate {job.number}, version 2 now." in text
    job.refresh_from_db()
    assert job_sum(job, currency="USD").totals.total == D(170)


def test_a_discount_that_somebody_gave_by_hand_stays(cast: Cast, job: Job) -> None:
    first_version(cast, job, LABOR)
    change_job_discount(by=cast.desk, job=job, amount=D(20))
    later = given_again(cast, job, ("Seals", {"quantity": D(3)}))
    assert "The discount on the whole" not in page_of(cast, job, 2).text_content()
    charge_estimate(by=cast.desk, estimate=later)
    job.refresh_from_db()
    assert job.discount_amount == D(20)


def test_a_percentage_follows_what_is_charged_later_of_the_same_version(cast: Cast, job: Job) -> None:
    """$600.00 first, with 5 % for supplies: $30.00. With the other $400.00 it is $50.00, as the estimate has it."""
    made = start(by=cast.desk, job=job)
    for told in (
        {"kind": "labor", "description": "Find it", "quantity": D(1), "unit_price": D(600)},
        {"kind": "part", "description": "Sender", "unit_price": D(400)},
        SUPPLIES,
    ):
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    given = give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(1050))
    keys = {one.description: str(one.key) for one in given.lines.all()}
    charge_estimate(by=cast.desk, estimate=given, lines=[keys["Find it"], keys["Supplies"]], options=[])
    assert sums_on(job)[-1][2] == D(30)
    charge_estimate(by=cast.desk, estimate=given, lines=[keys["Sender"]], options=[])
    assert sums_on(job)[-1][2] == D(50)
    job.refresh_from_db()
    assert job_sum(job, currency="USD").totals.total == D(1050)


def test_a_core_charge_at_another_sum_is_done_by_hand(cast: Cast, job: Job) -> None:
    core = {"kind": "part", "description": "Core charge: pump", "unit_price": D(40), "is_core": True}
    first_version(cast, job, LABOR, core)
    later = given_again(cast, job, ("Core charge: pump", {"unit_price": D(50)}))
    assert "The difference is not charged. To charge the sum of this version, void that charge" in (
        " ".join(page_of(cast, job, 2).text_content().split())
    )
    with pytest.raises(Refused, match="Every line of this estimate is on the job already"):
        charge_estimate(by=cast.desk, estimate=later)


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


def test_what_an_act_stopped_by_a_sum_would_come_to_is_told_of_all_of_it(cast: Cast, job: Job) -> None:
    """Charged are 280 with a fee of 28 and a discount of 10 %; version 2 has an option of 20 and no discount.

    The job stands at 277.20 and would come to 300 and 30: at no moment between are the sums told.
    """
    lines = ({"kind": "labor", "description": "Seals", "quantity": D(1), "unit_price": D(280)}, TENTH)
    first_version(cast, job, *lines, discount_percent=D(10))
    job.refresh_from_db()
    authorize(cast, job, "300")
    later = given_again(cast, job, ("Seals", {"unit_price": D(300)}), discount_percent=None)
    with pytest.raises(Refused, match=r"This brings the job to \$330\.00 with tax\."):
        charge_estimate(by=cast.desk, estimate=later)
    one = StoppedCharge.objects.get()
    assert (one.description, one.before, one.after) == ("Seals", D("277.20"), 330)
    assert one.with_it == "“Supplies (10 % of $300.00 for labor and parts)”"
    assert sums_on(job)[0] == ("Seals", D(1), D(280))


def test_what_goes_through_as_a_whole_is_not_stopped_halfway(cast: Cast, job: Job) -> None:
    """The new discount comes with the new charge: before it, the charge alone would have passed the sum."""
    first_version(cast, job, LABOR)
    authorize(cast, job, "210")
    later = given_again(cast, job, ("Seals", {"quantity": D(3)}), discount_percent=D(40))
    charge_estimate(by=cast.desk, estimate=later)
    job.refresh_from_db()
    assert job_sum(job, currency="USD").totals.total == 180


TELL = {"kind": "labor", "description": "Survey", "quantity": D(1), "unit_price": D(100)}
SENDER = {"kind": "part", "description": "Sender", "quantity": D(1), "unit_price": D(100)}
GASKET = {"kind": "part", "description": "Gasket", "quantity": D(1), "unit_price": D(60)}


def fees(job: Job) -> list[tuple[str, Decimal]]:
    return [(words, price) for words, _, price in sums_on(job) if words.startswith("Supplies")]


def test_a_fee_by_percentage_follows_a_void_and_what_is_charged_again(cast: Cast, job: Job) -> None:
    """100 + 100 + 60: the invoice has 10 % of 200 once the 60 is voided; the log has what the job came to in all."""
    first_version(cast, job, TELL, SENDER, GASKET, TENTH)
    assert fees(job) == [("Supplies (10 % of $260.00 for labor and parts)", D(26))]
    gasket = job.charges.get(description="Gasket")
    strike_charge(by=cast.desk, charge=gasket)
    assert fees(job) == [("Supplies (10 % of $200.00 for labor and parts)", D(20))]
    act = Command.objects.filter(kind="strike_charge").latest("pk")
    assert act.told["job_total"] == ["286.00", "220.00"]
    again = charge_again(by=cast.desk, charge=gasket)
    assert fees(job) == [("Supplies (10 % of $260.00 for labor and parts)", D(26))]
    strike_charge(by=cast.desk, charge=again)
    made = make_invoice(by=cast.desk, job=job, seen_total=D(220))
    assert ("10 % of $200.00" in made.record, "$260.00" in made.record) == (True, False)


def test_a_fee_that_was_voided_or_invoiced_does_not_follow(cast: Cast, job: Job) -> None:
    first_version(cast, job, TELL, SENDER, GASKET, TENTH)
    fee = job.charges.get(description__startswith="Supplies")
    make_invoice(by=cast.desk, job=job, charges=[fee], seen_total=D(26))
    strike_charge(by=cast.desk, charge=job.charges.get(description="Gasket"))
    assert fees(job) == [("Supplies (10 % of $260.00 for labor and parts)", D(26))]


def test_a_fee_at_its_cap_names_what_it_is_of_now(cast: Cast, job: Job) -> None:
    first_version(cast, job, TELL, SENDER, GASKET, {**TENTH, "cap": D(15)})
    strike_charge(by=cast.desk, charge=job.charges.get(description="Gasket"))
    assert fees(job) == [("Supplies (10 % of $200.00 for labor and parts, at most $15.00)", D(15))]
    later = given_again(cast, job, ("Survey", {"unit_price": D(400)}))
    charge_estimate(by=cast.desk, estimate=later, lines=[str(later.lines.get(description="Survey").key)])
    assert fees(job) == [("Supplies (10 % of $500.00 for labor and parts, at most $15.00)", D(15))]


def test_nothing_left_to_be_a_percentage_of_is_no_fee(cast: Cast, job: Job) -> None:
    first_version(cast, job, TELL, TENTH)
    strike_charge(by=cast.desk, charge=job.charges.get(description="Survey"))
    assert sums_on(job) == []


def test_a_fee_follows_a_credit_note_over_what_it_is_of(cast: Cast, job: Job) -> None:
    first_version(cast, job, TELL, SENDER, GASKET, TENTH)
    gasket = job.charges.get(description="Gasket")
    made = make_invoice(by=cast.desk, job=job, charges=[gasket], seen_total=D(60))
    credit_invoice(by=cast.owner, invoice=made, charges=[gasket], reason="Not fitted")
    assert fees(job) == [("Supplies (10 % of $200.00 for labor and parts)", D(20))]


def test_a_void_past_the_sum_is_no_charge_that_is_stopped(cast: Cast, job: Job) -> None:
    """The fee that follows is less than before, however far the job is past what was agreed by then."""
    first_version(cast, job, TELL, SENDER, GASKET, TENTH)
    authorize(cast, job, "100")
    strike_charge(by=cast.desk, charge=job.charges.get(description="Gasket"))
    assert fees(job) == [("Supplies (10 % of $200.00 for labor and parts)", D(20))]


def test_the_page_says_that_a_fee_on_the_job_goes_along(cast: Cast, job: Job) -> None:
    """The cap of version 2 takes the place of that of version 1 as soon as something of it is charged."""
    first_version(cast, job, TELL, SENDER, {**TENTH, "cap": D(15)})
    later = given_again(cast, job, ("Survey", {"unit_price": D(400)}), ("Supplies", {"cap": D(30)}))
    shown = " ".join(page_of(cast, job, 2).text_content().split())
    does = "Charging a line or an option here brings it to what it comes to then, by this version."
    assert f"On the job already. {does}" in shown
    charge_estimate(by=cast.desk, estimate=later)
    assert fees(job) == [("Supplies (10 % of $500.00 for labor and parts, at most $30.00)", D(30))]
