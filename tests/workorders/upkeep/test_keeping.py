"""What is kept of service due is what judging it now says: whatever was written meanwhile, and as the days go by."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commands.refusals import Refused
from engineering.service import Standing
from shopfloor.tasks import judge_services_ahead
from staff.models import ShopProfile
from tests.asking import asked
from vessels.actions import change_owner, log_hours, remove_engine, replace_meter, retract
from vessels.models import Customer, Engine, LogEntry
from workorders.actions import add_line
from workorders.upkeep.actions import (
    adopt_plans,
    change_adoption,
    change_lay_up,
    change_plan,
    end_adoption,
    end_plan,
    lay_up,
    log_service,
    plan_line,
    strike_lay_up,
)
from workorders.upkeep.keeping import bring_up_to_date, mark_everything, place_of, words_of
from workorders.upkeep.models import Adoption, Judgment, LayUp, ServicePlan, StaleMark
from workorders.upkeep.queries.due import Due, due_of
from workorders.upkeep.queries.kept import (
    answers,
    asked_for,
    count_by_standing,
    every_answer,
    judgments,
    of_standing,
)
from workorders.upkeep.spelling import RULES
from workorders.upkeep.wording import day_of, day_words_of, last_words, reasons

H = Decimal
MOST_DAYS = 900


def told(due: Due) -> tuple[Any, ...]:
    """All that a page may tell of a service."""
    return (
        due.followed, due.judged, due.per_week, due.laid_up, tuple(due.doubts), reasons(due), day_of(due),
        day_words_of(due), last_words(due),
    )  # fmt: skip


def the_same(today: date) -> dict[int, Due]:
    """Hold what is kept against what judging now says."""
    kept = {one.pk: one for one in judgments(today)}
    read = {due.followed.pk: due for due in answers(list(kept.values()))}
    fresh = {due.followed.pk: due for due in due_of(today=today)}
    assert read.keys() == fresh.keys()
    for key, due in fresh.items():
        assert told(read[key]) == told(due), (key, today)
        row = kept[key]
        assert (row.place, row.words, row.standing) == (place_of(due), words_of(due), due.standing.value)
        assert (row.due_on, row.told_on) == (due.judged.due_on, day_of(due))
        assert (row.vessel_id, row.owner_id) == (due.followed.vessel_id, due.followed.owner_id)
    assert not StaleMark.objects.exists()
    return fresh


class Shop:
    """A shop to which anything may happen; what it refuses does not."""

    def __init__(self, cast: Any, plans: list[ServicePlan], job: Any) -> None:
        self.cast, self.job = cast, job
        self.plans = [ServicePlan.objects.get(pk=plan.pk) for plan in plans]
        for record in (cast.vessel, cast.customer, cast.port, cast.starboard, job):
            record.refresh_from_db()
        self.hours = H(400)

    def engine(self, number: int) -> Engine:
        engine = [self.cast.port, self.cast.starboard][number % 2]
        engine.refresh_from_db()
        return engine

    def at(self, days_ago: int) -> datetime:
        day = timezone.localdate() - timedelta(days=days_ago)
        if not days_ago:
            return timezone.now()
        return timezone.make_aware(datetime.combine(day, time(9 + days_ago % 8)))

    def read(self, engine: int, days_ago: int, amount: int) -> None:
        self.hours += amount % 40
        log_hours(by=self.cast.tech, engine=self.engine(engine), shown=self.hours, happened_at=self.at(days_ago % 1000))

    def void(self, number: int) -> None:
        entries = LogEntry.objects.filter(engine__isnull=False).exclude(kind="retraction").order_by("position")
        if entries:
            retract(by=self.cast.tech, entry=entries[number % len(entries)], reason="Slip.")

    def done(self, engine: int, days_ago: int, with_hours: bool, amend: bool) -> None:
        boat = self.engine(engine)
        followed = list(ServicePlan.objects.filter(adoptions__engine=boat).distinct())
        before = LogEntry.objects.filter(kind="service-done", engine=boat).order_by("-position").first()
        log_service(
            by=self.cast.tech, engine=boat, plans=followed[:2], engine_hours=self.hours if with_hours else None,
            happened_at=self.at(days_ago % 600), amends=before if amend else None,
        )  # fmt: skip

    def meter(self, engine: int, was_read: bool) -> None:
        old = self.hours if was_read else None
        replace_meter(by=self.cast.tech, engine=self.engine(engine), old_shown=old, new_shown=H(0))
        self.hours = H(1)

    def adopt(self, engine: int, basis: str, days_ago: int) -> None:
        said: dict[str, Any] = {"basis": basis}
        if basis != "unknown":
            said |= {"last_on": timezone.localdate() - timedelta(days=days_ago), "source": "told"}
        if basis == "done" and days_ago % 2:
            said["last_hours"] = H(days_ago % 300)
        adopt_plans(by=self.cast.desk, engine=self.engine(engine), plans=self.plans, **said)

    def say_again(self, number: int, days_ago: int) -> None:
        followed = Adoption.objects.filter(ended_at=None)
        if followed:
            one = followed[number % len(followed)]
            said = {
                "basis": "done", "last_on": timezone.localdate() - timedelta(days=days_ago), "last_hours": None,
                "source": "own",
            }  # fmt: skip
            change_adoption(by=self.cast.desk, adoption=one, seen_version=one.version, changes=said)

    def follow_no_longer(self, number: int) -> None:
        followed = Adoption.objects.filter(ended_at=None)
        if followed:
            end_adoption(by=self.cast.desk, adoption=followed[number % len(followed)])

    def revise(self, number: int, hours: int, months: int) -> None:
        plan = self.plans[number % len(self.plans)]
        plan.refresh_from_db()
        said = {"every_hours": H(hours), "every_months": months, "name": f"{plan.family} {hours} {number % 9}"}
        change_plan(by=self.cast.tech, plan=plan, seen_version=plan.version, changes=said)

    def end(self, number: int) -> None:
        end_plan(by=self.cast.tech, plan=self.plans[number % len(self.plans)])

    def ashore(self, days_ago: int, length: int, ends: bool) -> None:
        began = timezone.localdate() - timedelta(days=days_ago)
        lay_up(
            by=self.cast.desk, vessel=self.cast.vessel, from_on=began,
            until_on=began + timedelta(days=length) if ends else None,
        )  # fmt: skip

    def afloat(self, number: int, days_ago: int, strike: bool) -> None:
        stays = LayUp.objects.filter(struck_at=None)
        if stays and strike:
            strike_lay_up(by=self.cast.desk, stay=stays[number % len(stays)])
        elif stays:
            one = stays[number % len(stays)]
            day = timezone.localdate() - timedelta(days=days_ago)
            change_lay_up(by=self.cast.desk, stay=one, seen_version=one.version, changes={"until_on": day})

    def sold(self, number: int) -> None:
        change_owner(
            by=self.cast.desk, vessel=self.cast.vessel, new_owner=Customer.objects.create(name=f"Buyer {number}")
        )

    def renamed(self, number: int) -> None:
        self.cast.vessel.refresh_from_db()
        self.cast.vessel.name, self.cast.vessel.berth = f"Boat {number}", f"B-{number}"
        self.cast.vessel.save()
        customer = self.cast.vessel.owner
        customer.name = f"Owner {number}"
        customer.save()
        engine = self.engine(number)
        engine.model = f"D{number}"
        engine.save()

    def other_family(self, engine: int, back: bool) -> None:
        Engine.objects.filter(pk=self.engine(engine).pk).update(family=self.cast.family if back else None)

    def removed(self, engine: int) -> None:
        remove_engine(by=self.cast.tech, engine=self.engine(engine))

    def moved_on_earth(self, zone: str) -> None:
        profile = ShopProfile.objects.get()
        profile.time_zone = zone
        profile.save()

    def on_job(self, number: int) -> None:
        followed = Adoption.objects.filter(ended_at=None)
        if followed:
            line = add_line(by=self.cast.desk, job=self.job, concern="Service")
            plan_line(by=self.cast.desk, line=line, adoption=followed[number % len(followed)])


SOME, ENGINE, TRUTH = st.integers(0, 99), st.integers(0, 1), st.booleans()
AGO = st.one_of(st.integers(0, 30), st.integers(0, 900))
STEPS = st.one_of(
    *[st.tuples(st.just("read"), ENGINE, AGO, st.integers(0, 60))] * 4,
    st.tuples(st.just("void"), SOME),
    *[st.tuples(st.just("done"), ENGINE, AGO, TRUTH, TRUTH)] * 2,
    st.tuples(st.just("meter"), ENGINE, TRUTH),
    *[st.tuples(st.just("adopt"), ENGINE, st.sampled_from(["done", "new", "unknown"]), AGO)] * 2,
    st.tuples(st.just("say_again"), SOME, AGO),
    st.tuples(st.just("follow_no_longer"), SOME),
    st.tuples(st.just("revise"), SOME, st.integers(10, 400), st.integers(1, 60)),
    st.tuples(st.just("end"), SOME),
    st.tuples(st.just("ashore"), st.integers(-200, 400), st.integers(0, 300), TRUTH),
    st.tuples(st.just("afloat"), SOME, AGO, TRUTH),
    st.tuples(st.just("sold"), SOME),
    st.tuples(st.just("renamed"), SOME),
    st.tuples(st.just("other_family"), ENGINE, TRUTH),
    st.tuples(st.just("removed"), ENGINE),
    st.tuples(st.just("moved_on_earth"), st.sampled_from(["Pacific/Auckland", "America/Los_Angeles"])),
    st.tuples(st.just("on_job"), SOME),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(
    steps=st.lists(st.tuples(STEPS, st.booleans()), min_size=3, max_size=14),
    days=st.lists(st.integers(-3, 200), min_size=2, max_size=6),
)
def test_after_any_writes_and_any_days_it_is_what_judging_now_says(
    cast: Any, oil: ServicePlan, impeller: ServicePlan, job: Any, steps: list[Any], days: list[int]
) -> None:
    with transaction.atomic():
        ShopProfile.objects.get_or_create(pk=1, defaults={"name": "Shop"})
        shop = Shop(cast, [oil, impeller], job)
        shop.adopt(0, "done", 200)
        shop.adopt(1, "new", 100)
        for (name, *values), look in steps:
            with suppress(Refused), transaction.atomic():
                getattr(shop, name)(*values)
            if look:
                the_same(timezone.localdate())
        today = timezone.localdate()
        for ahead in days:
            today += timedelta(days=ahead)
            the_same(today)
        transaction.set_rollback(True)


def follow(cast: Any, plan: ServicePlan, **said: Any) -> Adoption:
    (made,) = adopt_plans(by=cast.desk, engine=cast.port, plans=[plan], **said)
    return made


def test_a_worker_judges_ahead_by_the_shops_day(cast, oil, ago):
    ShopProfile.objects.update_or_create(pk=1, defaults={"time_zone": "Pacific/Kiritimati"})
    follow(cast, oil, basis="done", last_on=ago(100), last_hours=H(100), source="told")
    assert (judge_services_ahead(), judge_services_ahead()) == (1, 0)
    assert Judgment.objects.get().judged_on == datetime.now(ZoneInfo("Pacific/Kiritimati")).date()


def test_nothing_is_judged_twice_and_a_write_judges_its_own_again(cast, oil, impeller, ago):
    follow(cast, oil, basis="done", last_on=ago(100), last_hours=H(100), source="told")
    adopt_plans(by=cast.desk, engine=cast.starboard, plans=[impeller])
    assert bring_up_to_date() == 2
    assert bring_up_to_date() == 0
    with asked() as few:
        bring_up_to_date()
    assert few.queries == 1
    log_hours(by=cast.tech, engine=cast.port, shown=H(250))
    assert bring_up_to_date() == 1
    assert {due.standing for due in answers(list(asked_for()))} == {Standing.OVERDUE}


@pytest.mark.parametrize("apart", [1, 29, 30, 31])
def test_a_day_that_turns_it_is_enough(cast, impeller, ago, apart):
    follow(cast, impeller, basis="done", last_on=ago(700), source="own")
    today = timezone.localdate()
    the_same(today)
    due_on = Judgment.objects.get().due_on
    for day in (due_on - timedelta(days=apart), due_on, due_on + timedelta(days=apart), today):
        the_same(day)
    assert Judgment.objects.get().judged_on == today


def test_judgments_by_other_rules_are_made_again(cast, impeller, ago):
    follow(cast, impeller, basis="done", last_on=ago(10), source="own")
    the_same(timezone.localdate())
    for rules in (RULES - 1, RULES + 1):
        Judgment.objects.update(rules=rules, standing="overdue", place="0 ")
        the_same(timezone.localdate())
    Judgment.objects.all().delete()
    mark_everything()
    the_same(timezone.localdate())


def test_counts_and_order_are_those_of_the_list(cast, oil, impeller, ago):
    follow(cast, oil, basis="done", last_on=ago(500), last_hours=H(10), source="told")
    follow(cast, impeller, basis="done", last_on=ago(720), source="told")
    adopt_plans(by=cast.desk, engine=cast.starboard, plans=[oil, impeller])
    found = judgments()
    assert count_by_standing(found) == {Standing.OVERDUE: 1, Standing.SOON: 1, Standing.NOT_KNOWN: 2}
    assert [due.followed.pk for due in every_answer(found)] == [due.followed.pk for due in due_of()]
    assert of_standing(found, Standing.NOT_KNOWN).count() == 2
    with pytest.raises(ValueError, match="follow each other"):
        of_standing(found, Standing.OVERDUE, Standing.SOON)


def in_another_session(act: Callable[[], object]) -> None:
    """Do something in a session of its own, and wait for it."""
    problems: list[BaseException] = []

    def run() -> None:
        try:
            act()
        except BaseException as problem:
            problems.append(problem)
        finally:
            connection.close()

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(30)
    assert not problems, problems


@pytest.mark.django_db(transaction=True)
def test_a_write_that_is_not_done_yet_is_judged_when_it_is(cast, oil, ago):
    follow(cast, oil, basis="done", last_on=ago(100), last_hours=H(100), source="told")
    with transaction.atomic():
        log_hours(by=cast.tech, engine=cast.port, shown=H(250))
        in_another_session(bring_up_to_date)  # sees nothing of it, and waits for nobody
        assert Judgment.objects.get().standing == Standing.NOT_KNOWN.value
    assert bring_up_to_date() == 1
    assert Judgment.objects.get().standing == Standing.OVERDUE.value
