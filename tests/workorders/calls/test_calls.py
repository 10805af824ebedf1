"""The call list: whom to call about what, what was said last, and what rests until its day."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import Any

import pytest
from django.db import transaction
from django.utils import timezone

from billing.authorizations.actions import go_on, note_authorization
from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from commands.refusals import Refused
from tests.asking import asked
from tests.cast import Cast
from tests.workorders.counter import many_jobs, signed_in
from vessels.wording import date_words
from workorders.actions import change_intake
from workorders.calls.actions import note_call
from workorders.calls.asking import Scope
from workorders.calls.listing import CallList, page_of_calls
from workorders.calls.models import Call
from workorders.jobparts.actions import await_part, part_arrived
from workorders.models import Charge, Job
from workorders.states import JobState


def words_of(calls: CallList, job: Job) -> list[str]:
    return [ask.words for row in (*calls.now, *calls.later) if row.job.pk == job.pk for ask in row.asks]


def give(cast: Cast, job: Job, price: str = "90", total: str = "90") -> None:
    made = start_estimate(by=cast.desk, job=job)
    told: dict[str, Any] = {"kind": "fee", "description": "Haul-out", "unit_price": Decimal(price)}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=Decimal(total))


def test_each_reason_says_its_question_and_its_sum(cast: Cast, job: Job) -> None:
    today = timezone.localdate()
    assert [one.number for one in page_of_calls("").unpriced] == [job.number]
    give(cast, job)
    assert not page_of_calls("").unpriced
    (row,) = page_of_calls("").now
    assert row.asks[0].words.startswith("Estimate, version 1, was given on")
    assert "no answer is noted" in row.asks[0].words
    assert row.sums == [("estimate, with tax", Decimal("90.00"))]
    note_authorization(
        by=cast.desk, job=job, amount=Decimal(90), how="phone", who="Wes", reached="555-0140",
        said_at=timezone.now(), seen_total=Decimal(0), seen_authorized=None,
    )  # fmt: skip
    assert page_of_calls("").now == []
    Job.objects.filter(pk=job.pk).update(state="in-work")
    go_on(by=cast.owner, job=job, up_to=Decimal(500), reason="On the lift")
    assert "Orla Brandt let the work go on past what was authorized" in words_of(page_of_calls(""), job)[0]

    late, here, unknown = many_jobs(cast, 3, state="waiting-parts", promised_on=None)
    said: dict[str, Any] = {"number": "TW-9", "description": "Core", "quantity": Decimal(1)}
    await_part(by=cast.tech, job=late, expected_on=today, **said)
    late.awaited.update(expected_on=today - timedelta(days=2))
    assert words_of(page_of_calls(""), late)[0].startswith("A part is late: 1 part to come, was expected")
    part_arrived(by=cast.tech, awaited=await_part(by=cast.tech, job=here, **said))
    assert words_of(page_of_calls(""), here) == ["Every part is here."]
    assert words_of(page_of_calls(""), unknown) == []

    (ready,) = many_jobs(cast, 1, state="ready", promised_on=today - timedelta(days=3))
    Charge.objects.create(job=ready, kind="fee", description="Launch", unit_price=Decimal(60), added_by=cast.desk)
    (row,) = [row for row in page_of_calls("").now if row.job.pk == ready.pk]
    assert [ask.key for ask in row.asks] == ["ready"]  # what is ready is not late
    assert row.sums == [("charged, with tax", Decimal("60.00"))]

    (passed,) = many_jobs(cast, 1, state="in-work", promised_on=today - timedelta(days=3))
    assert words_of(page_of_calls(""), passed)[0].endswith("The day passed 3 days ago.")
    (waiting,) = many_jobs(cast, 1, state="waiting-customer", promised_on=None)
    assert words_of(page_of_calls(""), waiting)[0].startswith("The job waits for the customer since")


def test_a_late_part_is_called_about_whatever_its_open_job_does(cast: Cast, job: Job) -> None:
    day = timezone.localdate()
    said: dict[str, Any] = {"number": "TW-9", "description": "Core", "quantity": Decimal(1)}
    for state in JobState:
        (one,) = many_jobs(cast, 1, state="in-work", promised_on=None)
        await_part(by=cast.tech, job=one, expected_on=day, **said)
        Job.objects.filter(pk=one.pk).update(
            state=state.value, closed_at=timezone.now() if state in {JobState.CLOSED, JobState.CANCELED} else None
        )
        assert not any("late" in words for words in words_of(page_of_calls(""), one))
        one.awaited.update(expected_on=day - timedelta(days=2))
        late = [words for words in words_of(page_of_calls(""), one) if words.startswith("A part is late")]
        if state in {JobState.CLOSED, JobState.CANCELED}:
            assert late == []
            continue
        assert late == [f"A part is late: 1 part to come, was expected {date_words(day - timedelta(days=2))}."]
        note_call(by=cast.desk, job=one, who="Wes", said="Knows of it", again_on=day + timedelta(days=3))
        assert one.pk in [row.job.pk for row in page_of_calls("").later]
        one.awaited.update(arrived_at=timezone.now(), arrived_by=cast.tech)
        assert not any("late" in words for words in words_of(page_of_calls(""), one))


def test_a_promise_that_moved_is_told_once(cast: Cast, job: Job) -> None:
    day = timezone.localdate() + timedelta(days=20)
    for move in (0, 3, 1):  # set for the first time, later, and back again: only a later day is bad news
        job.refresh_from_db()
        changes = {"promised_on": day + timedelta(days=move)}
        change_intake(by=cast.desk, job=job, seen_version=job.version, changes=changes)
        moved = [words for words in words_of(page_of_calls(""), job) if "was moved" in words]
        assert len(moved) == (1 if move == 3 else 0)
    job.refresh_from_db()
    change_intake(by=cast.desk, job=job, seen_version=job.version, changes={"promised_on": day + timedelta(days=9)})
    assert any("was moved from" in words for words in words_of(page_of_calls(""), job))
    note_call(by=cast.desk, job=job, who="Wes", said="Fine with him")
    assert not any("was moved" in words for words in words_of(page_of_calls(""), job))


def test_a_call_moves_down_until_its_day_or_something_new_is_asked(cast: Cast, job: Job) -> None:
    today = timezone.localdate()
    give(cast, job)
    note_call(by=cast.desk, job=job, who="Wes", said="Thinks about it", again_on=today + timedelta(days=3))
    shown = page_of_calls("")
    assert (shown.now, [row.rests_until for row in shown.later]) == ([], [today + timedelta(days=3)])
    note_call(by=cast.desk, job=job, who="Wes", said="Tries again", again_on=today)
    assert [row.last.said for row in page_of_calls("").now if row.last] == ["Tries again"]
    note_call(by=cast.desk, job=job, who="Wes", said="No answer")
    assert [row.rests_until for row in page_of_calls("").later] == [today]  # no day said: not again today
    give(cast, job, "30", "120")
    assert [row.sums for row in page_of_calls("").now] == [[("estimate, with tax", Decimal("120.00"))]]


def test_what_cannot_be_noted_is_refused_and_twice_is_once(cast: Cast, job: Job) -> None:
    today = timezone.localdate()
    for field, said in [
        ("who", {"who": " "}),
        ("said", {"said": ""}),
        ("again_on", {"again_on": today - timedelta(days=1)}),
        ("again_on", {"again_on": today + timedelta(days=400)}),
        ("said", {"said": "x" * 501}),
    ]:
        with pytest.raises(Refused) as caught, transaction.atomic():
            note_call(by=cast.desk, job=job, **{"who": "Wes", "said": "Yes", **said})  # type: ignore[arg-type]
        assert field in caught.value.fields
    with pytest.raises(Refused), transaction.atomic():
        note_call(by=cast.tech, job=job, who="Wes", said="Yes")
    client = signed_in(cast.desk)
    wrong = client.post(f"/jobs/{job.number}/call/", {"who": "", "said": "He comes at noon", "back": "today"})
    assert wrong.status_code == 422
    assert "He comes at noon" in wrong.content.decode()
    sent = {"who": "Wes", "said": "He comes at noon", "back": "today", "entry_id": str(uuid.uuid4())}
    for _ in range(2):
        assert client.post(f"/jobs/{job.number}/call/", sent)["Location"] == "/"
    assert Call.objects.count() == 1


def test_the_page_and_the_part_on_today(cast: Cast, job: Job) -> None:
    give(cast, job)
    client = signed_in(cast.desk)
    text = client.get("/calls/").content.decode()
    for words in ("Wes Harrow", "(555) 555-0123", "$90.00", "no answer is noted"):
        assert words in text
    assert 'hx-get="/calls/"' in client.get("/").content.decode()
    part = client.get("/calls/", headers={"HX-Request": "true"}).content.decode()
    assert "no answer is noted" in part
    assert "<html" not in part
    assert 'value="today"' in part
    assert signed_in(cast.tech).get("/calls/").status_code == 403


def test_the_list_costs_the_same_at_two_sizes(cast: Cast) -> None:
    client = signed_in(cast.desk)
    for part in ({}, {"HX-Request": "true"}):
        counts = []
        for size in (30, 60):  # of each kind more than a page holds; what is ready comes first, with its sums
            for state in ("ready", "in-work", "estimate"):
                many_jobs(cast, size, state=state)
            client.get("/calls/", headers=part)
            with asked() as counted:
                client.get("/calls/", headers=part)
            counts.append(counted)
        assert counts[0].queries == counts[1].queries <= 16
        # What rows show is read for a page; of the others no more than their question.
        assert counts[1].rows - counts[0].rows <= 6 * 180


def test_pages_lead_through_all_parts_of_the_list_without_loss(cast: Cast) -> None:
    called = many_jobs(cast, 3, state="ready")
    for one in called:
        note_call(
            by=cast.desk, job=one, who="Ann", said="Comes on Friday", again_on=timezone.localdate() + timedelta(3)
        )
    many_jobs(cast, 30, state="ready")
    many_jobs(cast, 30, state="estimate", promised_on=None)
    whole = page_of_calls("", size=100)
    assert whole.counts == {"now": 30, "later": 3, "unpriced": 30}
    seen, after, pages = [], "", []
    while not pages or after:
        page = page_of_calls(after)
        pages.append(page)
        seen += [row.job.number for row in (*page.now, *page.later)] + [job.number for job in page.unpriced]
        after = page.after
    rows = [*(row.job for row in whole.now), *(row.job for row in whole.later), *whole.unpriced]
    assert seen == [job.number for job in rows]
    assert [(len(page.now), len(page.later), len(page.unpriced)) for page in pages] == [
        (20, 0, 0), (10, 3, 7), (0, 0, 20), (0, 0, 3)
    ]  # fmt: skip
    assert [page.is_first for page in pages] == [True, False, False, False]
    assert page_of_calls("now-999999").now == page_of_calls("").now  # a row that is gone
    client = signed_in(cast.desk)
    first = client.get("/calls/").content.decode()
    assert f'href="/calls/?after={pages[0].after}"' in first
    assert "Back to the beginning" not in first
    last = client.get("/calls/", {"after": pages[2].after}).content.decode()
    assert 'id="calls-title"' not in last
    assert '<span class="count soft">30</span>' in last
    assert "Further" not in last
    assert "Back to the beginning" in last


def test_counts_that_leave_something_out_say_so(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    words = "There may be more than are counted here."
    client = signed_in(cast.desk)
    monkeypatch.setattr("workorders.calls.listing.Scope", partial(Scope, most=3))
    for state in ("ready", "estimate", "waiting-customer"):
        many_jobs(cast, 3, state=state, promised_on=None)
        assert words not in client.get("/calls/").content.decode()
    many_jobs(cast, 1, state="ready", promised_on=None)
    shown = page_of_calls("")
    assert (len(shown.now), shown.is_cut) == (6, True)
    assert words in client.get("/calls/").content.decode()
    assert words in client.get("/calls/", headers={"HX-Request": "true"}).content.decode()
