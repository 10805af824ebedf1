"""What a job waits for: who has it, since when, until when, and what the shop is told of it."""

from __future__ import annotations

import json
import uuid
from datetime import date, timedelta
from decimal import Decimal
from importlib import import_module

import pytest
from django.db import connection
from django.utils import timezone
from django.utils.html import strip_tags

from commands.models import Command
from commands.questions import asking
from commands.refusals import Conflict
from commands.replay import queued, replay
from staff.journal_words import changes_words
from tests.workorders.jobparts.test_fitting import refused
from vessels.models import LogEntry
from workorders.actions import move_job, open_job
from workorders.jobparts.actions import cancel_awaited, change_awaited, part_arrived, void_arrival
from workorders.jobparts.models import AwaitedPart
from workorders.jobparts.queries.waiting import awaited_on, explains, orders_on
from workorders.models import Job
from workorders.waiting import waits_of


def today(days: int = 0) -> date:
    return timezone.localdate() + timedelta(days=days)


def now_waiting(cast, job: Job, reason: str = "") -> Job:
    for state, why in (("authorized", "By phone: go on."), ("waiting-parts", reason)):
        job.refresh_from_db()
        move_job(by=cast.tech, job=job, to=state, reason=why, seen_version=job.version)
    return job


def said(job: Job) -> str:
    job.refresh_from_db()
    wait = waits_of([job]).get(job.pk)
    return wait.words if wait else ""


def test_all_of_it_is_kept_with_who_and_when(cast, job, wait_for, impeller):
    made = wait_for(
        "", part=impeller, quantity=Decimal(2), supplier=" Harbor Supply ", ordered_on=today(-1), expected_on=today(4),
        remark="Order 7", line=job.lines.get(),
    )  # fmt: skip
    assert (str(made), made.supplier) == ("2 × TW-150 Raw water impeller (Tidewright)", "Harbor Supply")
    assert (made.added_by, made.is_open, made.is_late) == (cast.tech, True, False)
    assert not LogEntry.objects.filter(summary__contains="TW-150").exists()  # the boat's log is no order book


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"quantity": Decimal(0)}, "quantity"),
        ({"quantity": Decimal(-1)}, "quantity"),
        ({"quantity": Decimal(10000)}, "quantity"),
        ({"number": " "}, "number"),
        ({"supplier": "s" * 81}, "supplier"),
        ({"remark": "r" * 201}, "remark"),
        ({"ordered_on": today(1)}, "ordered_on"),
        ({"ordered_on": today(-1000)}, "ordered_on"),
        ({"ordered_on": today(-1), "expected_on": today(-2)}, "expected_on"),
        ({"expected_on": today(1000)}, "expected_on"),
        ({"expected_on": date(1026, 12, 1)}, "expected_on"),
    ],
)
def test_what_cannot_be_is_told_by_its_field(wait_for, told, field):
    assert field in refused(lambda: wait_for(**told)).fields
    assert not AwaitedPart.objects.exists()


def test_a_day_that_has_passed_is_asked_about_once(wait_for):
    with asking(list):
        assert "passed already" in refused(lambda: wait_for(expected_on=today(-1))).fields["expected_on"]
    with asking(lambda: [f"expected on {today(-1)}"]):
        assert wait_for(expected_on=today(-1)).is_late


def test_a_line_of_another_job_is_refused(cast, wait_for):
    other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Bilge pump"])
    assert "line" in refused(lambda: wait_for(line=other.lines.get())).fields


def test_nothing_is_put_on_a_closed_job(job, wait_for):
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=timezone.now())
    assert "Open it again" in refused(wait_for).sentence


def test_everybody_orders_and_takes_delivery(cast, wait_for):
    for person in (cast.desk, cast.tech, cast.manager, cast.owner):
        made = wait_for(by=person)
        assert part_arrived(by=person, awaited=made).arrived_by == person


class TestArriving:
    def test_who_and_when_and_the_second_changes_nothing(self, cast, wait_for):
        made, then = wait_for(), timezone.now() - timedelta(hours=3)
        part_arrived(by=cast.tech, awaited=made, happened_at=then)
        part_arrived(by=cast.desk, awaited=made)
        assert (made.arrived_by, made.arrived_at, made.is_open) == (cast.tech, then, False)
        assert changes_words(Command.objects.filter(kind="part_arrived").earliest("position").told).startswith(
            "arrived: nothing →"
        )

    def test_from_a_tablet_hours_later(self, cast, wait_for):
        made, then = wait_for(), timezone.now() - timedelta(hours=3)
        act = queued("part_arrived", by=cast.tech, at=then, entry_id=uuid.uuid4(), device="bay 2", awaited=made)
        for _ in range(2):
            replay(json.dumps(act), by=cast.tech)
        made.refresh_from_db()
        assert made.arrived_at == then

    def test_not_before_it_was_ordered_and_not_in_the_future(self, cast, wait_for):
        made = wait_for(ordered_on=today())
        for days in (-2, 2):
            at = timezone.now() + timedelta(days=days)
            told = refused(lambda at=at: part_arrived(by=cast.tech, awaited=made, happened_at=at))
            assert "happened_at" in told.fields

    def test_a_wrong_touch_is_undone(self, cast, wait_for):
        made = wait_for()
        part_arrived(by=cast.tech, awaited=made)
        void_arrival(by=cast.desk, awaited=made)
        assert (made.is_open, made.arrived_by) == (True, None)
        assert void_arrival(by=cast.desk, awaited=made).is_open

    def test_what_is_no_longer_waited_for_does_not_arrive_and_what_arrived_is_not_canceled(self, cast, wait_for):
        made, other = wait_for(), wait_for()
        cancel_awaited(by=cast.desk, awaited=made)
        assert "no longer waited for" in refused(lambda: part_arrived(by=cast.tech, awaited=made)).sentence
        part_arrived(by=cast.tech, awaited=other)
        assert "arrived already" in refused(lambda: cancel_awaited(by=cast.desk, awaited=other)).sentence

    def test_it_never_moves_the_job(self, cast, job, wait_for):
        made = wait_for()
        now_waiting(cast, job)
        part_arrived(by=cast.tech, awaited=made)
        assert Job.objects.get(pk=job.pk).state == "waiting-parts"


class TestChanging:
    def test_a_new_day(self, cast, wait_for):
        made = wait_for(expected_on=today(2))
        change_awaited(by=cast.desk, awaited=made, seen_version=1, changes={"expected_on": today(9)})
        assert (made.expected_on, made.version) == (today(9), 2)
        assert "expected on:" in changes_words(Command.objects.get(kind="change_awaited").told)

    def test_two_people_at_one_day(self, cast, wait_for):
        made = wait_for(expected_on=today(2))
        change_awaited(by=cast.desk, awaited=made, seen_version=1, changes={"expected_on": today(9)})
        with pytest.raises(Conflict):
            change_awaited(by=cast.tech, awaited=made, seen_version=1, changes={"expected_on": today(5)})

    def test_odd_changes_are_refused(self, cast, wait_for):
        made = wait_for(ordered_on=today(-1))
        for changes, field in (
            ({"quantity": Decimal(0)}, "quantity"),
            ({"number": ""}, "number"),
            ({"expected_on": today(-2)}, "expected_on"),
            ({"supplier": "s" * 81}, "supplier"),
        ):
            told = refused(
                lambda changes=changes: change_awaited(by=cast.desk, awaited=made, seen_version=1, changes=changes)
            )
            assert field in told.fields
        with pytest.raises(ValueError, match="arrived_at"):
            change_awaited(by=cast.desk, awaited=made, seen_version=1, changes={"arrived_at": None})

    def test_a_day_that_passed_meanwhile_stands_in_the_way_of_nothing(self, cast, wait_for):
        made = wait_for(expected_on=today(1))
        AwaitedPart.objects.filter(pk=made.pk).update(expected_on=today(-1))
        with asking(list):
            change_awaited(by=cast.desk, awaited=made, seen_version=1, changes={"remark": "Called them."})

    def test_what_has_arrived_is_not_changed(self, cast, wait_for):
        made = wait_for()
        part_arrived(by=cast.tech, awaited=made)
        told = refused(lambda: change_awaited(by=cast.desk, awaited=made, seen_version=2, changes={"supplier": "x"}))
        assert "has arrived" in told.sentence

    def test_another_number_is_no_longer_the_catalogs(self, cast, wait_for, impeller):
        made = wait_for("", part=impeller)
        change_awaited(by=cast.desk, awaited=made, seen_version=1, changes={"number": "TW-151"})
        assert (made.part, made.number) == (None, "TW-151")


class TestTheStateMeansSomething:
    def test_without_a_part_on_the_list_a_word_of_why_is_needed(self, cast, job):
        told = refused(lambda: now_waiting(cast, job))
        assert "which parts" in told.fields["reason"]

    def test_with_one_the_list_says_it_and_the_log_keeps_it(self, cast, job, wait_for):
        wait_for("TW-900", description="Exchanger core")
        now_waiting(cast, job)
        moved = LogEntry.objects.filter(kind="job-moved").latest("position")
        assert moved.summary.endswith("authorized → waiting for parts: 1 × TW-900 Exchanger core")

    def test_a_word_said_counts_more_than_the_list(self, cast, job, wait_for):
        wait_for()
        now_waiting(cast, job, reason="The core.")
        moved = LogEntry.objects.filter(kind="job-moved").latest("position")
        assert moved.summary.endswith("waiting for parts")
        assert moved.text == "The core."

    def test_what_has_come_or_is_not_wanted_explains_nothing(self, cast, job, wait_for):
        part_arrived(by=cast.tech, awaited=wait_for())
        cancel_awaited(by=cast.tech, awaited=wait_for())
        refused(lambda: now_waiting(cast, job))

    def test_a_part_explains_no_other_wait_and_no_opening_again(self, cast, job, wait_for):
        wait_for()
        job.refresh_from_db()
        told = refused(lambda: move_job(by=cast.tech, job=job, to="waiting-customer", seen_version=job.version))
        assert "reason" in told.fields

    def test_until_when(self, cast, job, wait_for):
        first = wait_for(expected_on=today(2))
        now_waiting(cast, job)
        assert said(job).startswith("1 part to come, expected ")
        second = wait_for(expected_on=today(9))
        from vessels.wording import date_words

        assert (
            said(job) == f"2 parts to come, expected {date_words(today(9))}"
        )  # all of it is there then, and not sooner
        third = wait_for()
        assert said(job) == "3 parts to come, day not known"
        AwaitedPart.objects.filter(pk=first.pk).update(expected_on=today(-1))
        assert said(job) == f"3 parts to come, the first was expected {date_words(today(-1))}"
        for one in (first, second):
            part_arrived(by=cast.desk, awaited=one)
        assert said(job) == "1 of 3 parts to come, day not known"
        part_arrived(by=cast.desk, awaited=third)
        assert said(job) == "Every part is here"

    def test_what_came_for_an_earlier_wait_says_nothing_of_this_one(self, cast, job, wait_for):
        part_arrived(by=cast.tech, awaited=wait_for(), happened_at=timezone.now() - timedelta(days=1))
        now_waiting(cast, job, reason="A gasket, not ordered yet.")
        assert said(job) == ""

    def test_a_job_that_does_not_wait_says_nothing(self, job, wait_for):
        wait_for()
        assert said(job) == ""


def test_the_list_has_what_is_still_awaited_on_top(cast, job, wait_for):
    came, late, soon = wait_for("A"), wait_for("B"), wait_for("C", expected_on=today(1))
    part_arrived(by=cast.tech, awaited=came)
    assert awaited_on(job) == [soon, late, came]


# ---- a part of the order


def rows_of(job: Job) -> list[tuple[Decimal, bool]]:
    return sorted((one.quantity, one.is_open) for one in AwaitedPart.objects.filter(job=job))


def test_a_part_of_an_order_comes_and_the_rest_is_waited_for(cast, job, wait_for):
    made = wait_for(quantity=Decimal(5), supplier="Harbor Supply", expected_on=today(3))
    now_waiting(cast, job)
    part_arrived(by=cast.desk, awaited=made, quantity=Decimal(2), seen_quantity=Decimal(5))
    assert (made.quantity, made.is_open, made.expected_on) == (Decimal(3), True, today(3))
    assert rows_of(job) == [(Decimal(2), False), (Decimal(3), True)]
    assert said(job).startswith("1 part to come, some of it here, expected ")
    assert changes_words(Command.objects.get(kind="part_arrived").told) == "still to come: 5 → 3"
    part_arrived(by=cast.desk, awaited=made, quantity=Decimal("0.5"), seen_quantity=Decimal(3))
    part_arrived(by=cast.desk, awaited=made)  # all that was left
    assert rows_of(job) == [(Decimal("0.50"), False), (Decimal(2), False), (Decimal("2.50"), False)]
    assert said(job) == "Every part is here"
    came = AwaitedPart.objects.get(quantity=2)
    assert (came.supplier, came.arrived_by, str(came)) == ("Harbor Supply", cast.desk, "2 × TW-900")
    void_arrival(by=cast.desk, awaited=came)  # two of the wrong kind
    assert sum(quantity for quantity, is_open in rows_of(job) if is_open) == 2


def test_an_order_in_several_deliveries_reads_as_one(cast, job, wait_for, client):
    """Four are ordered, one comes on the third, three on the fifth."""
    made = wait_for(quantity=Decimal(4), supplier="Harbor Supply")
    other = wait_for("TW-7")
    now_waiting(cast, job)
    client.force_login(cast.tech)

    def page() -> str:
        return " ".join(strip_tags(client.get(f"/jobs/{job.number}/lines/").content.decode()).split())

    assert [str(one) for one in orders_on(job)] == ["4 × TW-900", "1 × TW-7"]
    part_arrived(by=cast.desk, awaited=made, quantity=Decimal(1), seen_quantity=Decimal(4))
    (order, _) = orders_on(job)
    assert (str(order), order.told, order.is_open) == ("4 × TW-900", "1 of 4 here, 3 to come", True)
    assert said(job) == "2 parts to come, 1 of them here in part, day not known"
    assert explains(job) == "3 × TW-900, 1 × TW-7"
    assert "4 × TW-900 from Harbor Supply 1 of 4 here, 3 to come" in page()
    part_arrived(by=cast.desk, awaited=made)
    part_arrived(by=cast.desk, awaited=other)
    orders = {str(one): one for one in orders_on(job)}
    assert orders.keys() == {"4 × TW-900", "1 × TW-7"}
    assert [one.quantity for one in orders["4 × TW-900"].rows] == [1, 3]
    assert orders["4 × TW-900"].told == "4 of 4 here"
    assert "4 × TW-900 from Harbor Supply 4 of 4 here 1 here since " in page()
    assert said(job) == "Every part is here"


def test_what_of_an_order_is_not_here_after_all_or_no_longer_waited_for(cast, job, wait_for):
    made = wait_for(quantity=Decimal(4))
    now_waiting(cast, job)
    part_arrived(by=cast.desk, awaited=made, quantity=Decimal(1))
    void_arrival(by=cast.desk, awaited=AwaitedPart.objects.get(order=made))
    (order,) = orders_on(job)
    assert (str(order), order.told) == ("4 × TW-900", "0 of 4 here, 4 to come")
    assert said(job) == "1 part to come, day not known"
    assert explains(job) == "4 × TW-900"
    part_arrived(by=cast.desk, awaited=AwaitedPart.objects.get(order=made))
    cancel_awaited(by=cast.desk, awaited=made)
    (order,) = orders_on(job)
    assert (str(order), order.told, order.is_open) == ("4 × TW-900", "1 of 4 here, 3 no longer waited for", False)
    assert said(job) == "Every part is here"


def test_deliveries_of_before_are_joined_to_what_was_ordered(cast, job, wait_for):
    made, other = wait_for(quantity=Decimal(4)), wait_for(quantity=Decimal(4))
    part_arrived(by=cast.desk, awaited=made, quantity=Decimal(1))
    AwaitedPart.objects.update(order=None)  # as it was kept before
    migration = import_module("workorders.jobparts.migrations.0002_deliveries_of_an_order")
    with connection.cursor() as cursor:
        cursor.execute(migration.FILL)
    assert [(one.head.pk, one.told) for one in orders_on(job)] == [
        (made.pk, "1 of 4 here, 3 to come"),
        (other.pk, "0 of 4 here, 4 to come"),
    ]


def test_the_last_of_an_order_is_one(cast, job, wait_for):
    made = wait_for()
    told = refused(lambda: part_arrived(by=cast.tech, awaited=made, quantity=Decimal(2)))
    assert told.sentence == "Only 1 is waited for. If more came, change the order first."


def test_what_cannot_have_come_is_refused_and_changes_nothing(cast, job, wait_for):
    made = wait_for(quantity=Decimal(5))
    cases = [
        ({"quantity": Decimal(6)}, "Only 5 are waited for. If more came, change the order first."),
        ({"quantity": Decimal(0)}, "Enter how many."),
        ({"quantity": Decimal(-2)}, "Enter how many."),
        ({"quantity": Decimal("0.001")}, "At most two decimals are kept."),
        ({"quantity": Decimal(2), "seen_quantity": Decimal(7)},
         "Somebody noted an arrival of “TW-900” before you: 5 of it are still to come. Look again."),
    ]  # fmt: skip
    for told, sentence in cases:
        assert refused(lambda told=told: part_arrived(by=cast.tech, awaited=made, **told)).sentence == sentence
    part_arrived(by=cast.tech, awaited=made)
    refusal = refused(lambda: part_arrived(by=cast.tech, awaited=made, quantity=Decimal(1)))
    assert refusal.sentence.endswith("before you: nothing of it is still to come. Look again.")
    assert rows_of(job) == [(Decimal(5), False)]


def test_sent_twice_a_part_comes_once(cast, job, wait_for):
    made, key = wait_for(quantity=Decimal(3)), uuid.uuid4()
    for _ in range(2):
        part_arrived(by=cast.tech, awaited=made, quantity=Decimal(1), seen_quantity=Decimal(3), entry_id=key)
    assert rows_of(job) == [(Decimal(1), False), (Decimal(2), True)]


def test_so_many_are_here_is_said_on_the_page(cast, job, wait_for, client):
    made = wait_for(quantity=Decimal(3))
    client.force_login(cast.tech)
    at = f"/jobs/{job.number}/parts/{made.pk}/arrived/"
    for typed, words in (
        ("2", "“TW-900”: 2 are here. 1 is still to come."),
        ("two", "TW-900: “two” is not a number."),
        ("1", "“TW-900”: 1 is here."),
    ):
        made.refresh_from_db()
        answer = client.post(at, {"quantity": typed, "seen_quantity": made.quantity_words}, follow=True)
        assert any(str(one).startswith(words) for one in answer.context["messages"]), list(answer.context["messages"])
    assert [is_open for _, is_open in rows_of(job)] == [False, False]
