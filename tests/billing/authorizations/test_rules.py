"""What a shop's rule sets is stopped where it is switched on, and nowhere else."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from billing.authorizations.actions import agreeing, change_authorization_rules
from billing.authorizations.queries import rules, standing_of
from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from commands.refusals import Refused
from tests.billing.authorizations.test_authorizations import charge, note, signed_in
from tests.cast import Cast
from workorders.actions import charges, move_job
from workorders.models import Job

D = Decimal


def set_rules(cast: Cast, **said: Any) -> None:
    own = rules()
    change_authorization_rules(by=cast.owner, rules=own, seen_version=own.version, changes=said)


def begin(cast: Cast, job: Job, **more: Any) -> None:
    job.refresh_from_db()
    if job.state == "estimate":
        move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version, reason="By phone: find it")
    move_job(by=cast.tech, job=job, to="in-work", seen_version=job.version, **more)


NO_ANSWER = "An estimate was given, and no answer to it is noted. Until one is, no sum is authorized, and no charge is"


@pytest.mark.django_db
def test_authorized_without_a_noted_answer_is_asked_about_once(cast: Cast, job: Job) -> None:
    client, address = signed_in(cast.desk), reverse("workorders:move", args=[job.number])
    made = start_estimate(by=cast.desk, job=job)
    told = {"kind": "fee", "description": "Haul-out", "unit_price": D(90)}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(90))
    job.refresh_from_db()
    move = {"to": "authorized", "seen_version": job.version, "seen_state": job.state, "reason": ""}
    page = client.post(address, move)
    assert (page.status_code, NO_ANSWER in page.content.decode()) == (422, True)
    ticks = [one.get("value") for one in lxml.html.fromstring(page.content).xpath("//input[@name='asked']")]
    assert len(ticks) == 1
    assert client.post(address, {**move, "asked": ticks}).status_code == 302
    job.refresh_from_db()
    move_job(by=cast.desk, job=job, to="estimate", seen_version=job.version, reason="Asked again.")
    move |= {"seen_version": job.version, "seen_state": job.state}
    assert client.post(address, move).status_code == 302  # it was answered once


@pytest.mark.django_db
@pytest.mark.parametrize("is_given", [True, False])
def test_authorized_with_a_sum_or_without_an_estimate_is_not_asked_about(cast: Cast, job: Job, is_given: bool) -> None:
    if is_given:
        made = start_estimate(by=cast.desk, job=job)
        told = {"kind": "fee", "description": "Haul-out", "unit_price": D(90)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
        give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(90))
    note(cast, job, "90")
    job.refresh_from_db()
    move = {"to": "authorized", "seen_version": job.version, "seen_state": job.state, "reason": "By phone."}
    assert signed_in(cast.desk).post(reverse("workorders:move", args=[job.number]), move).status_code == 302


@pytest.mark.django_db
class TestWherePutInForce:
    def test_no_work_begins_without_a_written_estimate(self, cast: Cast, job: Job) -> None:
        set_rules(cast, estimate_first=True, citation="Code § 413")
        late = {"happened_at": timezone.now() - timedelta(hours=1)}
        for more in ({}, late):
            with pytest.raises(Refused, match=r"written estimate before work begins \(Code § 413\)"):
                begin(cast, job, **more)
        note(cast, job, "500", is_ceiling=True)  # a sum by phone is nothing written
        with pytest.raises(Refused, match="written estimate"):
            begin(cast, job)
        page = signed_in(cast.owner).post(
            reverse("workorders:move", args=[job.number]),
            {"to": "in-work", "seen_version": str(job.version), "seen_state": "authorized"},
        )
        assert (page.status_code, "written estimate" in page.content.decode()) == (422, True)
        made = start_estimate(by=cast.desk, job=job)
        told = {"kind": "fee", "description": "Haul-out", "unit_price": D(90)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
        with pytest.raises(Refused, match="written estimate"):
            begin(cast, job)  # a draft was given to nobody
        give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(90))
        begin(cast, job)
        assert job.state == "in-work"

    def test_work_below_the_sum_goes_without(self, cast: Cast, job: Job) -> None:
        set_rules(cast, estimate_first=True, estimate_from=D(100))
        note(cast, job, "100")
        with pytest.raises(Refused, match="written estimate"):
            begin(cast, job)
        note(cast, job, "99.99")
        begin(cast, job)

    def test_what_costs_nothing_begins_without_one(self, cast: Cast, job: Job) -> None:
        """Under warranty nothing is estimated: a charge above zero stops."""
        set_rules(cast, estimate_first=True)
        note(cast, job, "0", words="Warranty on the pump")
        begin(cast, job)

    def test_work_that_was_begun_before_goes_on(self, cast: Cast, job: Job) -> None:
        begin(cast, job)
        set_rules(cast, estimate_first=True)
        move_job(by=cast.tech, job=job, to="waiting-weather", seen_version=job.version, reason="Storm")
        begin(cast, job)

    def test_more_by_word_says_what_for(self, cast: Cast, job: Job) -> None:
        note(cast, job, "500")
        note(cast, job, "10", adds=True)  # the rule is off
        set_rules(cast, specify_more=True)
        for how in ("phone", "person"):
            with pytest.raises(Refused) as refusal:
                note(cast, job, "80", adds=True, how=how)
            assert list(refusal.value.fields) == ["words"]
        note(cast, job, "80", adds=True, words="Seal, $30; half an hour, $50")
        note(cast, job, "90", adds=True, how="paper")

    def test_nothing_on_top(self, cast: Cast, job: Job) -> None:
        set_rules(cast, tolerance_percent=D(10))
        with pytest.raises(Refused, match="Leave what is allowed on top empty"):
            set_rules(cast, nothing_on_top=True)
        set_rules(cast, tolerance_percent=None, nothing_on_top=True)
        with pytest.raises(Refused, match="Leave what is allowed on top empty"):
            set_rules(cast, tolerance_amount=D(40))
        with pytest.raises(Refused, match="Select that an estimate comes first"):
            set_rules(cast, estimate_from=D(100))
        note(cast, job, "500")
        with pytest.raises(Refused, match="brings the job to"):
            charge(cast, job, "500.01")
        page = signed_in(cast.owner).get(reverse("authorizations:rules")).content.decode()
        assert page.count("in force here") == 1


@pytest.mark.parametrize("first", ["note", "charge"])
def test_an_answer_while_a_charge_is_added_one_of_them_is_told(
    committed_db: None, cast: Cast, job: Job, first: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second arrives while the first holds the boat's turn and has written nothing that others see."""
    seen = {"seen_total": standing_of(job).total, "seen_authorized": None}
    inside, told = threading.Event(), []

    def slow(call: Callable[..., Any]) -> Callable[..., Any]:
        def slowly(*args: Any, **more: Any) -> Any:
            inside.set()
            threading.Event().wait(0.4)
            return call(*args, **more)

        return slowly

    def person(name: str, act: Callable[[], Any]) -> threading.Thread:
        def acts() -> None:
            try:
                act()
                told.append((name, "done"))
            except Refused as refusal:
                told.append((name, refusal.sentence))
            finally:
                connection.close()

        return threading.Thread(target=acts)

    people = {
        "note": person("note", lambda: note(cast, job, "250", **seen)),
        "charge": person("charge", lambda: charge(cast, job, "300")),
    }
    second = "charge" if first == "note" else "note"
    if first == "note":
        monkeypatch.setattr(agreeing, "last_given", slow(agreeing.last_given))
    else:
        monkeypatch.setattr(charges, "tell_total", slow(charges.tell_total))
    people[first].start()
    assert inside.wait(30)
    people[second].start()
    for one in people.values():
        one.join(30)
    said = dict(told)
    assert said[first] == "done"
    wanted = "This brings the job to $300.00" if second == "charge" else "The job changed since this page was opened"
    assert said[second].startswith(wanted)
