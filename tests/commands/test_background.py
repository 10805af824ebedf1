"""Work that is done after the answer: once, whatever happens to messages and workers, or given up with a sentence."""

from __future__ import annotations

import threading
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection, transaction
from django.template.loader import render_to_string
from django.utils import timezone
from pytest_django import Settings

from commands.background import Kind, Run, TakenOverError, ask, asking, do_now, kinds, open_task, register
from commands.background.resending import forget_the_old, send_again
from commands.background.running import run
from commands.models import BackgroundTask
from commands.refusals import Refused
from staff.models import ShopProfile
from staff.queries import shop_profile

Work = Callable[[Run], None]
BROKE_OFF, WENT_WRONG = "It broke off too often.", "It went wrong too often."


class World:
    """One kind of work for a test, what was sent, and what was said at its end."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.sent: list[int] = []
        self.failed: list[tuple[str, str]] = []
        self.patch = monkeypatch
        monkeypatch.setattr(kinds, "KINDS", dict(kinds.KINDS))
        for module in ["asking", "running"]:
            monkeypatch.setattr(f"commands.background.{module}.KINDS", kinds.KINDS)
        monkeypatch.setattr(asking, "_in_this_process", False)
        monkeypatch.setattr("commands.tasks.do_task.apply_async", lambda arguments, **_: self.sent.extend(arguments))

    def works(self, work: Work) -> None:
        """What the work is."""
        register(
            Kind(
                "test", work, lambda problem: f"{WENT_WRONG} ({problem})", BROKE_OFF,
                fail=lambda subject, sentence: self.failed.append((subject, sentence)),
            )
        )  # fmt: skip

    def age(self, **seconds: int) -> None:
        """Put moments of the one task back."""
        now = datetime.now(UTC)
        BackgroundTask.objects.update(**{name: now - timedelta(seconds=value) for name, value in seconds.items()})


@pytest.fixture
def world(monkeypatch: pytest.MonkeyPatch) -> World:
    return World(monkeypatch)


def task() -> BackgroundTask:
    return BackgroundTask.objects.get()


@pytest.mark.django_db
class TestOneTask:
    def test_it_is_done_once_however_often_its_message_comes(self, world: World) -> None:
        done: list[str] = []
        world.works(lambda one: done.append(one.subject))
        asked = ask("test", "17")
        assert (asked.state, open_task("test", "17")) == ("asked", asked)
        for _ in range(3):
            run(asked.pk, has_pulse=False)
        assert (done, task().state, task().tries, open_task("test", "17")) == (["17"], "done", 1, None)

    def test_what_waits_is_not_asked_for_twice_and_what_was_done_is(self, world: World) -> None:
        world.works(lambda one: None)
        assert ask("test", "17") == ask("test", "17")
        assert ask("test", "18").pk != ask("test", "17").pk
        do_now(ask("test", "17"))
        ask("test", "17")
        assert sorted(BackgroundTask.objects.values_list("subject", "state")) == [
            ("17", "asked"), ("17", "done"), ("18", "asked"),
        ]  # fmt: skip

    def test_what_is_asked_for_while_it_is_done_is_done_once_more(self, world: World) -> None:
        seen: list[str] = []

        def work(one: Run) -> None:
            seen.append(shop_profile().name)
            if len(seen) == 1:  # the shop changes after the work has read it
                ShopProfile.objects.update(name="Another")
                ask("test")

        ShopProfile.objects.update(name="Before")
        shop_profile()
        ShopProfile.objects.update(name="Before")
        world.works(work)
        do_now(ask("test"))
        assert (seen, task().state) == (["Before", "Another"], "done")

    def test_what_always_fails_is_given_up_after_three_tries_with_a_sentence(
        self, world: World, caplog: pytest.LogCaptureFixture
    ) -> None:
        tried: list[int] = []

        def work(one: Run) -> None:
            tried.append(one.task.tries)
            raise ValueError("a bug")

        world.works(work)
        asked = ask("test", "17")
        run(asked.pk, has_pulse=False)
        assert (task().state, task().problem) == ("asked", "")
        waits = [task().not_before]
        run(asked.pk, has_pulse=False)
        assert tried == [1], "the next try is put off"
        do_now(asked)
        assert tried == [1, 2, 3]
        assert waits[0] is not None
        assert 4 < (waits[0] - datetime.now(UTC)).total_seconds() <= 5
        assert (task().state, task().problem) == ("failed", f"{WENT_WRONG} (a bug)")
        assert world.failed == [("17", f"{WENT_WRONG} (a bug)")]
        assert caplog.text.count("ValueError: a bug") == 3

    def test_what_is_refused_is_given_up_at_once(self, world: World) -> None:
        def work(one: Run) -> None:
            raise Refused("There is no certificate.")

        world.works(work)
        do_now(ask("test", "17"))
        assert (task().state, task().tries, task().problem) == ("failed", 1, "There is no certificate.")
        assert world.failed == [("17", "There is no certificate.")]

    def test_what_kills_its_worker_each_time_is_given_up_with_a_sentence(self, world: World) -> None:
        world.works(lambda one: None)
        asked = ask("test", "17")
        for tries in [1, 2, 3]:
            BackgroundTask.objects.update(state="taken", taker=uuid.uuid4(), tries=tries)
            world.age(heard_at=29)
            run(asked.pk, has_pulse=False)
            assert task().state == "taken", "it was heard of a moment ago"
        world.age(heard_at=31)
        run(asked.pk, has_pulse=False)
        assert (task().state, task().problem, world.failed) == ("failed", BROKE_OFF, [("17", BROKE_OFF)])

    def test_a_worker_taken_for_dead_stores_nothing(self, world: World) -> None:
        shop_profile()

        def slow(one: Run) -> None:
            world.age(heard_at=31)
            world.patch.setattr(one.kind.__class__, "work", lambda self, two: store(two, "the second"), raising=False)
            BackgroundTask.objects.update(taker=uuid.uuid4())
            with pytest.raises(TakenOverError):
                store(one, "the first")

        def store(one: Run, name: str) -> None:
            with one.finishing():
                ShopProfile.objects.update(name=name)

        world.works(slow)
        asked = ask("test")
        run(asked.pk, has_pulse=False)
        assert ShopProfile.objects.get().name != "the first"
        assert task().state == "taken"

    def test_a_result_and_its_end_are_stored_together(self, world: World) -> None:
        shop_profile()

        def work(one: Run) -> None:
            with one.finishing():
                ShopProfile.objects.update(name="half done")
                raise KeyError("in the middle")

        world.works(work)
        run(ask("test").pk, has_pulse=False)
        assert ShopProfile.objects.get().name != "half done"
        assert task().state == "asked"

    def test_nothing_is_asked_for_by_what_is_undone(self, world: World, django_capture_on_commit_callbacks) -> None:
        world.works(lambda one: None)

        def act() -> None:
            with transaction.atomic():
                ask("test")
                raise KeyError

        with django_capture_on_commit_callbacks(execute=True), pytest.raises(KeyError):
            act()
        assert not BackgroundTask.objects.exists()
        assert world.sent == []

    def test_an_unknown_kind_is_a_defect(self, world: World) -> None:
        with pytest.raises(ValueError, match="no kind of background work"):
            ask("nothing")


@pytest.mark.django_db
class TestSendingAgain:
    @pytest.mark.parametrize(
        ("row", "ages", "is_sent"),
        [
            ({"state": "asked"}, {"sent_at": 5}, False),  # its message is under way
            ({"state": "asked"}, {"sent_at": 21}, True),  # lost
            ({"state": "asked", "sent_at": None}, {"not_before": 1}, True),  # went wrong, and is due
            ({"state": "asked", "sent_at": None}, {"not_before": -5}, False),  # not yet
            ({"state": "taken"}, {"sent_at": 600, "heard_at": 10}, False),  # somebody works at it
            ({"state": "taken"}, {"sent_at": 600, "heard_at": 31}, True),  # and was killed
            ({"state": "done"}, {"sent_at": 600, "heard_at": 600}, False),
            ({"state": "failed"}, {"sent_at": 600, "heard_at": 600}, False),
        ],
    )
    def test_only_what_waits_without_a_sign_of_life(
        self, world: World, row: dict[str, object], ages: dict[str, int], is_sent: bool
    ) -> None:
        world.works(lambda one: None)
        asked = ask("test")
        BackgroundTask.objects.update(**row)
        world.age(**ages)
        assert send_again() == ([asked.pk] if is_sent else [])
        assert send_again() == [], "what was sent just now is under way"
        assert world.sent == ([asked.pk] if is_sent else [])

    def test_a_killed_worker_is_noticed_within_two_minutes_at_any_pulse(self, settings: Settings) -> None:
        for settings.WORKER_PULSE_SECONDS in [1, 10, 30]:
            from commands.background.running import silent_after

            look = timedelta(seconds=settings.WORKER_PULSE_SECONDS)
            assert max(silent_after(), timedelta(seconds=asking.sent_again_after())) + look <= timedelta(minutes=2)

    def test_ended_rows_are_forgotten_after_a_month(self, world: World) -> None:
        world.works(lambda one: None)
        do_now(ask("test"))
        world.age(ended_at=29 * 86_400)
        assert forget_the_old() == 0
        world.age(ended_at=31 * 86_400)
        assert forget_the_old() == 1


@pytest.mark.django_db(transaction=True)
class TestReally:
    """With connections of their own, as workers have them."""

    def test_two_workers_at_one_task_do_it_once(self, world: World) -> None:
        done: list[int] = []
        both = threading.Barrier(4)

        def work(one: Run) -> None:
            time.sleep(0.2)
            done.append(one.task.tries)

        world.works(work)
        asked = ask("test")

        def worker() -> None:
            both.wait(60)
            run(asked.pk)
            connection.close()

        threads = [threading.Thread(target=worker) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert (done, task().state) == ([1], "done")

    def test_two_who_ask_at_once_ask_for_one(self, world: World) -> None:
        world.works(lambda one: None)
        both, asked = threading.Barrier(6), []

        def asker() -> None:
            both.wait(60)
            asked.append(ask("test", "17").pk)
            connection.close()

        threads = [threading.Thread(target=asker) for _ in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(set(asked)) == BackgroundTask.objects.count() == 1

    def test_long_work_gives_signs_of_life_and_is_not_taken_over(self, world: World, settings: Settings) -> None:
        settings.WORKER_PULSE_SECONDS = 1
        heard: list[datetime | None] = []

        def work(one: Run) -> None:
            until = time.monotonic() + 60
            while len(set(heard)) < 4 and time.monotonic() < until:
                time.sleep(0.2)
                heard.append(task().heard_at)
                send_again()
                run(one.task.pk)  # another worker, which finds it taken

        world.works(work)
        asked = ask("test")
        world.sent.clear()
        run(asked.pk)
        assert len(set(heard)) >= 4
        assert (world.sent, task().state, task().tries) == ([], "done", 1)
        assert not [one for one in threading.enumerate() if one.name.startswith("pulse-")]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("row", "ages", "says"),
    [
        ({"state": "asked"}, {"asked_at": 5}, "waiting for its turn."),
        ({"state": "asked", "tries": 1}, {"asked_at": 5}, "It went wrong before, and is tried again."),
        ({"state": "asked"}, {"asked_at": 31}, "nobody has taken it up yet"),
        ({"state": "asked", "tries": 2}, {"asked_at": 300, "not_before": 5}, "tried again"),
        ({"state": "asked", "tries": 2}, {"asked_at": 300, "not_before": 60}, "nobody has taken it up yet"),
        ({"state": "taken", "tries": 1}, {"asked_at": 300, "taken_at": 200, "heard_at": 5}, "It is drawn. Started"),
        ({"state": "taken", "tries": 2}, {"asked_at": 300, "taken_at": 20, "heard_at": 5}, "was interrupted"),
        ({"state": "taken", "tries": 1}, {"asked_at": 300, "taken_at": 99, "heard_at": 31}, "was last heard from"),
    ],
)
def test_a_page_that_waits_says_what_for_and_since_when(
    world: World, row: dict[str, object], ages: dict[str, int], says: str
) -> None:
    world.works(lambda one: None)
    ask("test")
    BackgroundTask.objects.update(**row)
    world.age(**ages)
    with timezone.override(UTC):
        said = " ".join(render_to_string("components/waiting.html", {"task": task(), "what": "It is drawn."}).split())
    assert says in said
    assert ("not running" in said or "as soon as the program's worker runs" in said) is (
        "nobody" in says or "last heard" in says
    )
    assert task().is_under_way is ("Started" in said)
    assert any(f"{when:%-I:%M}" in said for when in [task().asked_at, task().taken_at, task().heard_at] if when)


def test_a_page_whose_task_ended_this_moment_says_what_is_done() -> None:
    said = render_to_string("components/waiting.html", {"task": None, "what": "It is drawn."})
    assert said.strip() == "<p>It is drawn.</p>"
