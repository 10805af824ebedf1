"""Work at time and materials, with no ceiling: noted as such, said wherever it counts, and kept to the shop's rules."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from billing.authorizations import history
from billing.authorizations.actions import go_on, withdraw_authorization
from billing.authorizations.filing import file_paper, kept_pdf
from billing.authorizations.guarding import limit_words, words_without_sums
from billing.authorizations.models import Authorization
from billing.authorizations.queries import says_what_it_costs, standing_of
from billing.authorizations.sheet import digest_of
from billing.authorizations.signing import sheet_text
from commands.questions import TICK_TO_KEEP, Questions, asking
from commands.refusals import Refused
from shopfloor.demo.promising import SIGNATURE
from staff.models import ShopProfile
from tests.billing.authorizations.test_authorizations import Said, charge, note, signed_in
from tests.billing.authorizations.test_paper import shelf, words_of
from tests.billing.authorizations.test_rules import begin, set_rules
from tests.cast import Cast
from vessels.wording import date_words
from workorders.actions import move_job
from workorders.calls.listing import page_of_calls
from workorders.models import Job

__all__ = ["shelf"]
D = Decimal
pytestmark = pytest.mark.django_db


def open_sum(cast: Cast, job: Job, **more: Any) -> Authorization:
    return note(
        cast,
        job,
        str(more.pop("amount", "0")),
        **{"is_open": True, "seen_open": standing_of(job).limit.is_open, **more},
    )


def today() -> str:
    return date_words(timezone.localdate())


class TestWhatStops:
    def test_passing_what_is_likely_is_asked_about_once(self, cast: Cast, job: Job) -> None:
        open_sum(cast, job, likely=D(800))
        with asking(list):
            charge(cast, job, "800")  # not past it
            with pytest.raises(Questions) as asked:
                charge(cast, job, "500")
        assert asked.value.sentence == (
            "This brings the job to $1,300.00 with tax, $500.00 more than the $800.00 that was said to be likely. No "
            f"sum stops it. {TICK_TO_KEEP}"
        )
        with asking(lambda: ["1300.00 past the likely 800.00 on 1001"]):
            charge(cast, job, "500")
        with asking(list):
            charge(cast, job, "800")  # it is past it already, and said so
            with pytest.raises(Questions, match=r"\$2,900\.01 with tax, \$2,100\.01 more than"):
                charge(cast, job, "800.01")  # more than all that was likely, in one charge
        assert standing_of(job).total == 2100

    def test_nothing_stops_a_charge(self, cast: Cast, job: Job) -> None:
        note(cast, job, "100", is_ceiling=True)
        with pytest.raises(Refused, match="brings the job to"):
            charge(cast, job, "101")
        open_sum(cast, job, likely=D("800"))
        charge(cast, job, "2500")
        standing = standing_of(job)
        assert (standing.limit.is_open, standing.limit.sum, standing.left, standing.total) == (True, None, None, 2500)

    def test_a_sum_takes_its_place_and_withdrawn_it_is_gone(self, cast: Cast, job: Job) -> None:
        made = open_sum(cast, job)
        note(cast, job, "300", seen_open=True)
        with pytest.raises(Refused, match=r"Wes Harrow agreed to \$300.00"):
            charge(cast, job, "301")
        withdraw_authorization(by=cast.desk, authorization=standing_of(job).last or made, reason="Wrong boat")
        charge(cast, job, "301")
        withdraw_authorization(by=cast.desk, authorization=made, reason="Wrong boat, too")
        assert limit_words(standing_of(job)) == "What was authorized was withdrawn."

    def test_nothing_comes_on_top_of_it(self, cast: Cast, job: Job) -> None:
        open_sum(cast, job)
        with pytest.raises(Refused, match="no sum that this could come on top of") as refused:
            note(cast, job, "50", adds=True, seen_open=True)
        assert list(refused.value.fields) == ["adds"]

    def test_a_manager_has_nothing_to_go_past(self, cast: Cast, job: Job) -> None:
        open_sum(cast, job)
        with pytest.raises(Refused, match="no ceiling, so no sum stops its charges"):
            go_on(by=cast.owner, job=job, up_to=D(900), reason="He is at sea")

    def test_an_answer_that_crossed_with_it_is_told(self, cast: Cast, job: Job) -> None:
        open_sum(cast, job)
        with pytest.raises(Refused, match="work at time and materials with no ceiling is authorized"):
            note(cast, job, "50")
        open_sum(cast, job)

    @pytest.mark.parametrize(
        ("more", "field"),
        [
            ({"amount": D(5)}, "amount"),
            ({"adds": True}, "adds"),
            ({"is_ceiling": True}, "is_ceiling"),
            ({"likely": D(0)}, "likely"),
            ({"likely": D(-1)}, "likely"),
            ({"likely": D("10000000000")}, "likely"),
            ({"is_open": False, "words": "Warranty", "likely": D(5)}, "likely"),
        ],
    )
    def test_what_it_cannot_have(self, cast: Cast, job: Job, more: dict[str, Any], field: str) -> None:
        with pytest.raises(Refused) as refused:
            open_sum(cast, job, **more)
        assert list(refused.value.fields) == [field]

    def test_the_database_keeps_it_without_a_sum(self, cast: Cast, job: Job) -> None:
        made = open_sum(cast, job)
        for wrong in ({"amount": 5}, {"adds": True}, {"is_ceiling": True}):
            with pytest.raises(IntegrityError), transaction.atomic():
                Authorization.objects.filter(pk=made.pk).update(**wrong)


class TestWhatIsSaid:
    def test_on_the_job(self, cast: Cast, job: Job) -> None:
        open_sum(cast, job)
        said = f"By phone on {today()} Wes Harrow agreed to time and materials, with no ceiling."
        assert limit_words(standing_of(job)) == f"{said} No sum stops a charge."
        assert words_without_sums(standing_of(job)) == said
        open_sum(cast, job, likely=D(800))
        likely = "It was said to be likely to come to $800.00 with tax"
        charge(cast, job, "800")
        assert limit_words(standing_of(job)) == f"{said} {likely}. No sum stops a charge."
        charge(cast, job, "0.01")
        assert limit_words(standing_of(job)) == f"{said} {likely}, and comes to more by now. No sum stops a charge."
        assert words_without_sums(standing_of(job)) == said
        page = signed_in(cast.desk).get(reverse("workorders:lines", args=[job.number])).content.decode()
        assert "past what was said to be likely" in page
        assert "may still be charged" not in page

    def test_where_what_it_took_the_place_of_is_withdrawn(self, cast: Cast, job: Job) -> None:
        """On top of 300 that took the place of no ceiling: once the 300 are withdrawn, there is none."""
        open_sum(cast, job)
        sum_ = note(cast, job, "300", seen_open=True)
        note(cast, job, "50", adds=True)
        withdraw_authorization(by=cast.desk, authorization=sum_, reason="Misheard")
        assert limit_words(standing_of(job)) == (
            f"By phone on {today()} Wes Harrow agreed to $50.00 more, on top of time and materials with no ceiling. "
            "No sum stops a charge."
        )
        assert words_without_sums(standing_of(job)) == (
            f"By phone on {today()} Wes Harrow agreed to more, on top of time and materials with no ceiling."
        )

    def test_a_sum_of_zero_says_why_and_that_charges_stop(self, cast: Cast, job: Job) -> None:
        with pytest.raises(Refused, match="Write why the sum is zero: warranty, goodwill") as refused:
            note(cast, job, "0")
        assert list(refused.value.fields) == ["words"]
        note(cast, job, "0", words="Warranty on the pump of job 1001")
        assert limit_words(standing_of(job)) == (
            f"By phone on {today()} Wes Harrow agreed, with a sum of $0.00: “Warranty on the pump of job 1001”. So a "
            "charge that brings the job above $0.00 is stopped."
        )
        charge(cast, job, "0")
        with pytest.raises(Refused, match=r"above \$0.00 is stopped. Ask the customer again"):
            charge(cast, job, "0.01")
        go_on(by=cast.owner, job=job, up_to=D(20), reason="Gasket is no warranty")
        assert "is stopped" not in limit_words(standing_of(job))

    def test_in_the_history(self, cast: Cast, job: Job) -> None:
        open_sum(cast, job, likely=D(800), how="message", words="Find it, whatever it takes")
        (told,) = (step.told for step in history.steps(cast.desk, job, "USD") if step.title == "Customer’s answer")
        assert told == (
            "Wes Harrow agreed to time and materials, with no ceiling (likely to come to $800.00 with tax), by mail or "
            "message."
        )
        ShopProfile.objects.update(technicians_see_prices=False)
        cast.tech.refresh_from_db()
        (told,) = (step.told for step in history.steps(cast.tech, job, "USD") if step.title == "Customer’s answer")
        assert told == "Wes Harrow agreed to time and materials, with no ceiling, by mail or message."

    def test_on_its_page_and_on_paper(self, cast: Cast, job: Job, shelf: None) -> None:
        made = open_sum(cast, job, likely=D(800))
        page = signed_in(cast.desk).get(reverse("authorizations:job", args=[job.number])).content.decode()
        assert "Time and materials, with no ceiling" in page
        assert "likely to come to $800.00 with tax, which stops nothing" in page
        assert "Go on past the sum" not in page
        file_paper(made)
        said = words_of(kept_pdf(made) or b"")
        assert "Authorized Time and materials, with no ceiling" in said
        assert "$800.00. This is no ceiling: it may come to more." in said
        assert "$0.00" not in said

    def test_what_is_signed_for(self, cast: Cast, job: Job, shelf: None) -> None:
        note(cast, job, "400")
        wished = Authorization(job=job, amount=D(0), is_open=True, likely=D(800), how="drawn", who="Wes Harrow")
        text = sheet_text(wished, standing_of(job), None)
        *_, agreed, none, before, likely, law, _, by = text.splitlines()
        assert agreed == (
            "I agree to time and materials: I pay, with tax, for the labor, parts and other charges that the work "
            "takes."
        )
        assert none == "No sum is set that it may not pass. I am not asked before it comes to more."
        assert before == "This takes the place of the $400.00 that I agreed to before."
        assert likely.endswith(" thinks it likely to come to $800.00 with tax. That is no ceiling: it may be more.")
        assert (law, by) == ("What else applies, local law decides.", "Signed by: Wes Harrow")
        made = open_sum(
            cast, job, likely=D(800), how="drawn", strokes=json.dumps(SIGNATURE), seen_sheet=digest_of(text)
        )
        assert made.sheet == text
        assert "asked first" not in text
        assert "$0.00" not in text

    def test_the_call_list_asks_once_it_comes_to_more(self, cast: Cast, job: Job) -> None:
        def asked() -> list[tuple[str, Decimal | None, str]]:
            calls = page_of_calls("")
            return [
                (ask.words, ask.sum, ask.sum_is) for row in calls.now for ask in row.asks
                if row.job.pk == job.pk and ask.key.startswith("likely-")
            ]  # fmt: skip

        assert job.pk in [one.pk for one in page_of_calls("").unpriced]
        open_sum(cast, job, likely=D(800))
        assert job.pk not in [one.pk for one in page_of_calls("").unpriced]
        charge(cast, job, "800")
        assert asked() == []
        charge(cast, job, "1")
        ((words, sum_, sum_is),) = asked()
        assert words.startswith("The work is at time and materials, and comes to more than was said to be likely on ")
        assert words.endswith(" Nothing stops it: tell the customer.")
        assert (sum_, sum_is) == (D(1), "above the $800.00 that was said to be likely, with tax")
        open_sum(cast, job, likely=D(900))  # the customer was told
        assert asked() == []
        charge(cast, job, "100")
        assert len(asked()) == 1
        note(cast, job, "2000", seen_open=True)
        assert asked() == []


class TestTheRules:
    def test_never(self, cast: Cast, job: Job) -> None:
        set_rules(cast, time_and_materials="never", citation="House rule 4")
        with pytest.raises(Refused) as refused:
            open_sum(cast, job)
        sentence = "The shop’s rules allow no time and materials without a ceiling (House rule 4). Agree on a sum."
        assert refused.value.fields == {"is_open": sentence}
        set_rules(cast, estimate_first=True)
        with pytest.raises(Refused, match=r"Give one on the Estimate tab\.$"):
            begin(cast, job)

    @pytest.mark.parametrize(("how", "is_allowed"), [
        ("phone", False), ("person", False), ("message", True), ("paper", True),
    ])  # fmt: skip
    def test_in_writing(self, cast: Cast, job: Job, how: str, is_allowed: bool) -> None:
        set_rules(cast, time_and_materials="writing")
        if is_allowed:
            assert open_sum(cast, job, how=how, words="Time and materials").is_open
            return
        with pytest.raises(Refused) as refused:
            open_sum(cast, job, how=how, words="Time and materials")
        assert refused.value.fields == {
            "how": "The shop’s rules allow time and materials without a ceiling only in writing: signed on the screen, "
            "on paper, or by mail or message."
        }

    def test_an_estimate_comes_first_or_this(self, cast: Cast, job: Job) -> None:
        set_rules(cast, estimate_first=True, time_and_materials="writing")
        with pytest.raises(Refused, match=r"that the customer agreed in writing to time and materials\.$"):
            begin(cast, job)
        open_sum(cast, job, how="message", words="Do it")
        begin(cast, job)
        assert job.state == "in-work"

    def test_more_by_word_says_what_for(self, cast: Cast, job: Job) -> None:
        set_rules(cast, specify_more=True)
        open_sum(cast, job)  # before it nothing was agreed to, so that it is not more
        note(cast, job, "500", seen_open=True)
        with pytest.raises(Refused) as refused:
            open_sum(cast, job)
        assert list(refused.value.fields) == ["words"]
        open_sum(cast, job, words="Lower unit apart; labor at $140 an hour, seals about $90")

    def test_it_says_what_the_work_costs_where_a_job_is_authorized(self, cast: Cast, job: Job) -> None:
        assert not says_what_it_costs(job)
        open_sum(cast, job)
        assert says_what_it_costs(job)
        job.refresh_from_db()
        move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version)
        assert job.state == "authorized"

    def test_the_page_of_the_rules(self, cast: Cast) -> None:
        page = signed_in(cast.owner).get(reverse("authorizations:rules")).content.decode()
        assert "never: a sum is authorized" in page
        assert "in force here" not in page
        set_rules(cast, time_and_materials="writing")
        assert signed_in(cast.owner).get(reverse("authorizations:rules")).content.decode().count("in force here") == 1


class TestTheForm:
    def said(self, job: Job, **more: str) -> dict[str, str]:
        standing = standing_of(job)
        return {
            "is_open": "yes", "adds": "no", "how": "phone", "who": "Wes Harrow", "reached": "(555) 555-0123",
            "said_at": f"{timezone.localtime():%Y-%m-%dT%H:%M}", "seen_total": str(standing.total),
            "seen_authorized": str(standing.limit.authorized or ""), "seen_open": str(standing.limit.is_open), **more,
        }  # fmt: skip

    def test_it_is_noted(self, cast: Cast, job: Job) -> None:
        address, desk = reverse("authorizations:job", args=[job.number]), signed_in(cast.desk)
        page = desk.post(address, self.said(job, likely="800"), follow=True).content.decode()
        assert "It is noted: time and materials, with no ceiling. No sum stops a charge." in page
        assert desk.post(address, self.said(job, likely="900")).status_code == 302
        assert [one.likely for one in Authorization.objects.order_by("pk")] == [800, 900]

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"is_open": "no"}, "Enter the sum. Zero is one, with the reason below."),
            ({"is_open": "no", "amount": "x"}, "not a number"),
            ({"amount": "400"}, "Leave the sum empty"),
            ({"adds": "yes"}, "is all that is authorized, and not on top of a sum"),
            ({"is_ceiling": "on"}, "is noted as that sum, not to be exceeded"),
            ({"is_open": "maybe"}, "Choose"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(
        self, cast: Cast, job: Job, more: dict[str, str], sentence: str
    ) -> None:
        answer = signed_in(cast.desk).post(reverse("authorizations:job", args=[job.number]), self.said(job, **more))
        assert answer.status_code == 422
        assert sentence in answer.content.decode()
        assert not Authorization.objects.exists()

    def test_it_is_signed_on_the_screen(self, cast: Cast, job: Job) -> None:
        answer = signed_in(cast.desk).post(
            reverse("authorizations:job", args=[job.number]), self.said(job, how="drawn", likely="800")
        )
        page = answer.content.decode()
        assert "I agree to time and materials" in page
        assert "That is no ceiling: it may be more." in page


def test_limits_with_it() -> None:
    from billing.authorizations.limits import limit_of

    def limit(*agreed: Said) -> tuple[bool, Decimal | None]:
        found = limit_of(agreed, percent=D(10), amount=None, up_to=D(5000), currency="USD")
        return found.is_open, found.sum

    free = Said(D(0), is_open=True)
    assert limit(free) == (True, None)
    assert limit(Said(D(500), is_ceiling=True), free) == (True, None)
    assert limit(free, Said(D(500))) == (False, D(5000))
    assert limit(free, Said(D(500), adds=True)) == (True, None)
    assert limit(free, Said(D(6000))) == (False, D("6600.00"))
