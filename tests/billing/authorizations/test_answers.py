"""A customer takes some of an estimate and declines the rest: the sum that follows, and what is kept of the rest."""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from billing.authorizations.actions import (
    drop_deferred,
    note_authorization,
    reopen_deferred,
    take_up_deferred,
    withdraw_authorization,
)
from billing.authorizations.answers import Answer, Declined, chosen, offer_of
from billing.authorizations.models import Authorization, DeferredWork
from billing.authorizations.queries import standing_of
from billing.authorizations.sheet import digest_of
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_terms,
    charge_estimate,
    give_estimate,
    start_estimate,
)
from billing.estimates.models import Estimate, EstimateLine, EstimateOption
from commands.refusals import Refused
from files import store
from tests.billing.signing import SIGNED
from tests.cast import Cast
from workorders.actions import add_line
from workorders.models import Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax
from workorders.taxes.models import SalesTax

D = Decimal
pytestmark = pytest.mark.django_db


@dataclass
class Given:
    """An estimate of $600 of work, 6 % tax on parts, and three options of which two exclude each other."""

    estimate: Estimate
    lines: dict[str, EstimateLine]
    options: dict[str, EstimateOption]

    def answer(self, *taken: str, without: tuple[str, ...] = (), why: str = "", safety: bool = False) -> Answer:
        keys = {**{name: one.key for name, one in self.lines.items()}, **{n: o.key for n, o in self.options.items()}}
        return Answer(
            self.estimate.revision,
            tuple(keys[one] for one in taken),
            tuple(Declined(keys[one], why, safety) for one in without),
        )


def give(cast: Cast, job: Job, **terms: Any) -> Given:
    if not SalesTax.objects.exists():
        add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART])
    made = start_estimate(by=cast.desk, job=job)
    concern = job.lines.order_by("position").first()
    if made.replaces is None:
        for kind, words, price, line in [
            ("labor", "Replace the pump", "400", concern), ("part", "Pump", "150", concern),
            ("fee", "Haul-out", "50", None),
        ]:  # fmt: skip
            told = {"kind": kind, "description": words, "unit_price": D(price), "quantity": D(1), "job_line": line}
            add_estimate_line(by=cast.desk, estimate=made, told=told)
        for name, group, price in [("Rebuild", "Pump", "300"), ("Exchange", "Pump", "500"), ("Wax", "", "100")]:
            option = add_estimate_option(by=cast.desk, estimate=made, name=name, alternatives=group)
            told = {"kind": "part", "description": name, "unit_price": D(price), "option": option}
            add_estimate_line(by=cast.desk, estimate=made, told=told)
    if terms:
        change_estimate_terms(by=cast.desk, estimate=made, seen_version=made.version, changes=terms)
    total = next(iter([offer_of(made).total(offer_of(made).own)]))
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=total)
    return Given(
        made, {one.description: one for one in made.lines.filter(option=None)},
        {one.name: one for one in made.options.all()},
    )  # fmt: skip


def note(cast: Cast, job: Job, given: Given, answer: Answer, amount: str = "", **more: Any) -> Authorization:
    standing = standing_of(job)
    total = D(amount) if amount else chosen(offer_of(given.estimate), answer).total
    said = {
        "how": "phone", "who": "Wes Harrow", "reached": "(555) 555-0123", "said_at": timezone.now(),
        "seen_total": standing.total, "seen_authorized": standing.limit.authorized,
    }  # fmt: skip
    return note_authorization(**{"by": cast.desk, "job": job, "amount": total, "answer": answer, **said, **more})


def deferred(job: Job) -> list[tuple[str, str, str]]:
    return [(one.what, str(one.amount), one.state) for one in DeferredWork.objects.filter(job=job).order_by("pk")]


def test_what_the_answer_comes_to(cast: Cast, job: Job) -> None:
    """400 labor + 150 parts × 1.06 + 50 fee = 609; options of parts with 6 % on top."""
    given = give(cast, job)
    for answer, expected in [
        (given.answer(), "609.00"),
        (given.answer("Rebuild"), "927.00"),
        (given.answer("Exchange", "Wax"), "1245.00"),
        (given.answer(without=("Haul-out",)), "559.00"),
        (given.answer("Wax", without=("Pump",)), "556.00"),
        (given.answer(without=("Pump", "Haul-out", "Replace the pump")), "0.00"),
        (given.answer("Rebuild", without=("Pump", "Haul-out", "Replace the pump")), "318.00"),
    ]:
        assert chosen(offer_of(given.estimate), answer).total == D(expected)


def test_a_discount_on_the_whole_follows_what_is_taken_and_is_never_more_than_it(cast: Cast, job: Job) -> None:
    given = give(cast, job, discount_amount=D(100))
    assert chosen(offer_of(given.estimate), given.answer()).total == D("507.50")  # 25 of 100 off the parts
    with pytest.raises(Refused, match=r"discount of \$100\.00 is more than the \$50\.00 that is left"):
        chosen(offer_of(given.estimate), given.answer(without=("Pump", "Replace the pump")))


def test_the_authorized_sum_is_what_was_said_yes_to(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    made = note(cast, job, given, given.answer("Wax", without=("Haul-out",), why="Has a trailer"))
    assert (made.amount, made.revision) == (D("665.00"), 1)
    assert standing_of(job).limit.authorized == D("665.00")
    assert [(one.words, one.is_taken) for one in made.pieces.all()] == [
        ("Replace the pump", True), ("Pump", True), ("Haul-out", False), ("Rebuild", False), ("Exchange", False),
        ("Wax", True),
    ]  # fmt: skip
    assert deferred(job) == [
        ("Haul-out", "50.00", "open"), ("Rebuild", "318.00", "open"), ("Exchange", "530.00", "open"),
    ]  # fmt: skip
    kept = DeferredWork.objects.get(what="Haul-out")
    assert (kept.why, kept.declined_by, kept.revision, kept.vessel) == ("Has a trailer", "Wes Harrow", 1, job.vessel)


def test_what_was_chosen_otherwise_is_not_deferred_and_a_concern_declined_whole_is_one_row(
    cast: Cast, job: Job
) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer("Exchange", without=("Replace the pump", "Pump"), why="Later", safety=True))
    concern = job.lines.get(position=1)
    rows = DeferredWork.objects.filter(job=job).order_by("pk")
    assert [(one.what, one.amount, one.is_safety, one.engine) for one in rows] == [
        (concern.concern, D("559.00"), True, concern.engine), ("Wax", D("106.00"), False, None),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("case", "says"),
    [
        ("two of one", "“Rebuild” and “Exchange” exclude each other"),
        ("another sum", r"comes to \$609\.00, not \$608\.99"),
        ("on top", "not on top of what was before"),
        ("unknown key", "answer is to another version"),
        ("taken and declined", "answer is to another version"),
        ("older version", "Version 2 of the estimate was given in the meantime"),
        ("nothing said of nothing", "Write why the sum is zero"),
    ],
)
def test_what_is_refused_keeps_nothing(cast: Cast, job: Job, case: str, says: str) -> None:
    given = give(cast, job)
    everything = ("Pump", "Haul-out", "Replace the pump")
    cases: dict[str, tuple[Answer, dict[str, Any]]] = {
        "two of one": (given.answer("Rebuild", "Exchange"), {"amount": "1457"}),
        "another sum": (given.answer(), {"amount": "608.99"}),
        "on top": (given.answer(), {"adds": True}),
        "unknown key": (Answer(1, (given.lines["Pump"].key,)), {"amount": "609"}),
        "taken and declined": (given.answer("Wax", without=("Wax",)), {"amount": "609"}),
        "older version": (given.answer(), {"amount": "609"}),
        "nothing said of nothing": (given.answer(without=everything), {"amount": "0"}),
    }
    if case == "older version":
        give(cast, job)
    answer, more = cases[case]
    with pytest.raises(Refused, match=says):
        note(cast, job, given, answer, **more)
    assert not job.authorizations.exists()
    assert not DeferredWork.objects.exists()


def test_a_tax_that_changed_since_is_told_before_a_sum_is_authorized(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    SalesTax.objects.get().rates.update(percent=D(7))  # as if the old one had ended yesterday
    with pytest.raises(Refused, match=r"said \$609\.00; with the taxes of today it comes to \$610\.50"):
        note(cast, job, given, given.answer(), "609")


def test_a_later_answer_takes_up_or_declines_again_what_an_earlier_one_declined(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer(without=("Haul-out",)))
    note(cast, job, given, given.answer("Wax", "Rebuild", without=("Haul-out",)))
    assert [one for one in deferred(job) if one[2] == "open"] == [("Haul-out", "50.00", "open")]
    ends = {one.what: one.steps.get() for one in DeferredWork.objects.exclude(state="open")}
    assert (ends["Wax"].state, ends["Wax"].job) == ("taken", job)
    assert (ends["Exchange"].state, ends["Exchange"].reason) == (
        "dropped", "Another option was chosen on version 1 of the estimate",
    )  # fmt: skip
    assert ends["Haul-out"].reason == "Declined again on version 1 of the estimate"


def test_what_is_withdrawn_defers_nothing(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    made = note(cast, job, given, given.answer("Wax", "Rebuild", without=("Haul-out",)))
    withdraw_authorization(by=cast.desk, authorization=made, reason="Noted on the wrong job")
    work = DeferredWork.objects.get()
    assert (work.state, work.steps.get().reason) == ("dropped", "The answer was withdrawn: Noted on the wrong job")


def last_steps(job: Job) -> dict[str, tuple[str, str]]:
    """The state of each row of deferred work, by what it is, and the last reason that is said of it."""
    rows = DeferredWork.objects.filter(job=job, revision=1).order_by("pk")
    lasts = {one.what: one.steps.order_by("pk").last() for one in rows}
    return {one.what: (one.state, last.reason if (last := lasts[one.what]) else "") for one in rows}


def test_an_answer_that_is_withdrawn_takes_up_nothing(cast: Cast, job: Job) -> None:
    """What it took, declined again or chose another option for is as the answer before left it: open."""
    given = give(cast, job)
    note(cast, job, given, given.answer(without=("Haul-out", "Pump"), safety=True))
    second = give(cast, job)
    later = note(cast, job, second, second.answer("Rebuild", "Wax", without=("Pump",)))
    assert last_steps(job)["Haul-out"] == ("taken", "Agreed to on version 2 of the estimate")
    withdraw_authorization(by=cast.desk, authorization=later, reason="It was another boat")
    said = ("open", "A later answer was withdrawn: It was another boat")
    assert last_steps(job) == dict.fromkeys(["Haul-out", "Pump", "Rebuild", "Exchange", "Wax"], said)


def test_what_is_charged_when_the_answer_is_withdrawn_says_that_it_is_charged(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    first = note(cast, job, given, given.answer(without=("Haul-out", "Pump")))
    second = give(cast, job)
    later = note(cast, job, second, second.answer("Rebuild"))
    charge_estimate(
        by=cast.desk, estimate=second.estimate, lines=[str(second.lines["Haul-out"].key)],
        options=[str(second.options["Rebuild"].key)],
    )  # fmt: skip
    withdraw_authorization(by=cast.desk, authorization=later, reason="x" * 200)
    charged = f"It is charged on job {job.number}. The answer after which it was charged was withdrawn"
    found = last_steps(job)
    assert found["Haul-out"] == found["Rebuild"] == ("taken", charged)
    assert found["Exchange"] == ("dropped", f"“Rebuild” is charged on job {job.number} instead")
    assert found["Pump"] == ("open", f"A later answer was withdrawn: {'x' * 200}")
    step = DeferredWork.objects.get(what="Haul-out").steps.order_by("pk").last()
    assert step is not None
    assert step.job == job
    withdraw_authorization(by=cast.desk, authorization=first, reason="Nobody answered")
    assert last_steps(job)["Pump"][0] == "dropped"


def test_an_answer_after_the_withdrawn_one_keeps_its_word(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    first = note(cast, job, given, given.answer(without=("Haul-out", "Pump")))
    second = note(cast, job, given, given.answer(without=("Pump",)))
    note(cast, job, given, given.answer("Wax"))
    withdraw_authorization(by=cast.desk, authorization=second, reason="A slip")
    of_first = DeferredWork.objects.filter(authorization=first)
    assert {one.what: (one.state, one.steps.order_by("pk").last().reason) for one in of_first} == {  # type: ignore[union-attr]
        **dict.fromkeys(["Haul-out", "Pump", "Wax"], ("taken", "Agreed to on version 1 of the estimate")),
        **dict.fromkeys(["Rebuild", "Exchange"], ("dropped", "Declined again on version 1 of the estimate")),
    }  # fmt: skip


def test_deferred_work_is_taken_up_once_dropped_with_a_reason_and_opened_again(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer("Wax", without=("Haul-out",)))
    rebuild, exchange, haul = (DeferredWork.objects.get(what=one) for one in ("Rebuild", "Exchange", "Haul-out"))
    line = add_line(by=cast.desk, job=job, concern="Deferred work: Rebuild")
    take_up_deferred(by=cast.desk, deferred=rebuild, line=line)
    exchange.refresh_from_db()
    assert (exchange.state, exchange.steps.get().reason) == ("dropped", "“Rebuild” was taken up instead")
    with pytest.raises(Refused, match=f"“Rebuild” was taken up on job {job.number} already"):
        take_up_deferred(by=cast.desk, deferred=rebuild, line=line)
    with pytest.raises(Refused, match="Write why it is no longer offered"):
        drop_deferred(by=cast.desk, deferred=haul, reason="  ")
    drop_deferred(by=cast.desk, deferred=haul, reason="Sold the trailer")
    with pytest.raises(Refused, match="“Haul-out” was dropped already"):
        drop_deferred(by=cast.desk, deferred=haul, reason="Again")
    with pytest.raises(Refused, match="Write why it is offered again"):
        reopen_deferred(by=cast.desk, deferred=haul, reason="")
    reopen_deferred(by=cast.desk, deferred=haul, reason="It was the other boat")
    with pytest.raises(Refused, match="is open already"):
        reopen_deferred(by=cast.desk, deferred=haul, reason="Again")
    with pytest.raises(Refused, match="role does not allow"):
        drop_deferred(by=cast.tech, deferred=haul, reason="No")
    assert [one.state for one in haul.steps.all()] == ["dropped", "open"]


def sheet_digest(cast: Cast, job: Job, given: Given, answer: Answer, who: str = "Wes Harrow", **more: Any) -> str:
    """The digest of the text as the page would show it."""
    from billing.authorizations.signing import sheet_text

    offer = offer_of(given.estimate)
    found = chosen(offer, answer)
    wished = Authorization(job=job, amount=found.total, how="drawn", who=who, **more)
    return digest_of(sheet_text(wished, standing_of(job), (offer, found), answer))


def test_a_drawn_signature_is_kept_with_the_exact_text(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    answer = given.answer("Wax", without=("Haul-out",), safety=True)
    seen = sheet_digest(cast, job, given, answer)
    made = note(cast, job, given, answer, how="drawn", reached="", said_at=None, strokes=SIGNED, seen_sheet=seen)
    assert made.sheet_sha256 == seen == digest_of(made.sheet)
    assert store.read(made.signature_sha256).startswith(b"<svg")
    assert made.sheet.splitlines()[3:] == [
        "", "I agree to:", "– Replace the pump: $400.00", "– Pump: $150.00", "– Option: Wax: $100.00",
        "– State sales tax, 6 %: $15.00", "", "I do not want now:",
        "– Haul-out. The shop says that this touches safety. It is not done with this job.", "– Option: Rebuild",
        "– Option: Exchange", "", "It comes to $665.00 with tax, in all.", "Before it comes to more, I am asked first.",
        "What else applies, local law decides.", "", "Signed by: Wes Harrow",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"strokes": ""}, "Nothing was drawn"),
        ({"strokes": json.dumps([[[1, 1]]])}, "no more than a dot"),
        ({"who": "Somebody Else"}, "changed since it was shown"),
        ({"words": "And paint it"}, "changed since it was shown"),
        ({"is_ceiling": True}, "changed since it was shown"),
        ({"seen_sheet": ""}, "changed since it was shown"),
    ],
)
def test_a_signature_of_nothing_or_of_another_text_is_refused(
    cast: Cast, job: Job, told: dict[str, Any], says: str
) -> None:
    given = give(cast, job)
    seen = sheet_digest(cast, job, given, given.answer())
    with pytest.raises(Refused, match=says):
        note(cast, job, given, given.answer(), **{"how": "drawn", "strokes": SIGNED, "seen_sheet": seen, **told})
    assert not job.authorizations.exists()
