"""The pages of hours: what each role is shown, what the buttons say, and what comes of nonsense."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, datetime
from uuid import UUID, uuid4

import pytest
from django.test import Client

from staff.queries import local_day
from tests.asking import asked
from tests.cast import Cast
from tests.workorders.counter import signed_in
from tests.workorders.labor.conftest import local
from workorders.labor.actions import correct_hours, note_hours, pause_clock, start_clock, stop_clock, void_hours
from workorders.labor.models import Stretch
from workorders.models import Charge, Job, JobLine

Now = Callable[[str], datetime]
MONDAY = date(2026, 3, 9)


def shown(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def after(client: Client, address: str, **told: object) -> str:
    """The messages of the page that follows a button."""
    answer = client.post(address, {"back": "/hours/", **told}, follow=True)
    assert answer.redirect_chain == [("/hours/", 302)]
    return " ".join(str(one) for one in answer.context["messages"])


class TestTheButtons:
    def test_on_elsewhere_off(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        client, at = signed_in(cast.tech), f"/jobs/{job.number}/lines"
        assert after(client, f"{at}/1/clock/") == f"Your clock runs on job {job.number}, line 1."
        now("2026-03-10 09:30")
        assert after(client, f"{at}/2/clock/") == (
            f"Your clock runs on job {job.number}, line 2. The one on job {job.number}, line 1 stopped at that moment, "
            "Tue, Mar 10, 9:30 AM: 1.5 h."
        )
        running = Stretch.objects.get(is_open=True)
        now("2026-03-10 10:00")
        assert (
            after(client, f"/hours/{running.pk}/stop/") == f"The clock on job {job.number}, line 2 is off after 0.5 h."
        )

    def test_over_from_somebody_else(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        his = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 09:00")
        assert after(signed_in(cast.manager), f"/hours/{his.pk}/take-over/") == (
            f"You took job {job.number}, line 1 over from Tomas Reef after 1 h. Your clock runs."
        )

    def test_the_morning_after(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        left = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-11 08:00")
        client = signed_in(cast.tech)
        assert "has run since Tue, Mar 10, 8:00 AM. Until when was it?" in shown(client, "/")
        assert "has run since Tue, Mar 10, 8:00 AM. Say until when" in after(client, f"/hours/{left.pk}/stop/")
        assert after(client, f"/jobs/{job.number}/lines/2/clock/") == (
            f"Your clock runs on job {job.number}, line 2. Until when you worked on job {job.number}, line 1 has still "
            "to be said."
        )
        assert "Tomas Reef, Mar 10: hours not known" in shown(client, f"/jobs/{job.number}/hours/")
        for person in (cast.manager, cast.desk):
            assert "hours not known" in shown(signed_in(person), "/hours/")
        answer = client.post(f"/hours/{left.pk}/until/", {"day": "2026-03-10", "until": "12:30"}, follow=True)
        assert "4.5 h on job" in " ".join(str(one) for one in answer.context["messages"])
        assert "Until when was it?" not in shown(client, "/")

    def test_a_pause_is_gone_on_with_from_any_page(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        client, stretch = signed_in(cast.tech), start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 12:00")
        assert after(client, f"/hours/{stretch.pk}/pause/", reason="Lunch").endswith("is paused after 4 h.")
        page = shown(client, "/vessels/")
        assert "Paused since 12:00 PM (Lunch)" in page
        assert "Resume" in page
        now("2026-03-10 12:45")
        after(client, f"/jobs/{job.number}/lines/1/clock/")
        assert "Your clock runs:" in shown(client, "/vessels/")

    @pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:x", ""])
    def test_they_lead_nowhere_else(self, cast: Cast, job: Job, lines: list[JobLine], back: str) -> None:
        answer = signed_in(cast.tech).post(f"/jobs/{job.number}/lines/1/clock/", {"back": back})
        assert answer.headers["Location"] == f"/jobs/{job.number}/hours/"

    def test_a_clock_that_waited_on_the_tablet_has_the_time_of_its_touch(
        self, cast: Cast, job: Job, lines: list[JobLine], now: Now
    ) -> None:
        now("2026-03-10 11:00")
        told = {"happened_at": local("2026-03-10 09:12").isoformat(), "back": "/hours/"}
        signed_in(cast.tech).post(f"/jobs/{job.number}/lines/1/clock/", told)
        assert Stretch.objects.get().started_at == local("2026-03-10 09:12")


class TestTheStrip:
    def test_the_front_desk_has_none(self, cast: Cast, lines: list[JobLine]) -> None:
        start_clock(by=cast.tech, line=lines[0])
        for person, has_one in ((cast.tech, True), (cast.desk, False), (cast.manager, False)):
            client = signed_in(person)
            assert ("clock-strip" in shown(client, "/")) is has_one
            assert ("clock-strip" in shown(client, "/vessels/")) is has_one, "seen once, it is on every page"

    def test_who_clocks_on_sees_it_at_once(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        client = signed_in(cast.tech)
        client.post(f"/jobs/{job.number}/lines/1/clock/", {"back": "/vessels/"})
        assert "clock-strip" in shown(client, "/vessels/")

    def test_it_goes_with_the_clock(self, cast: Cast, lines: list[JobLine], now: Now) -> None:
        client = signed_in(cast.tech)
        stretch = start_clock(by=cast.tech, line=lines[0])
        assert "clock-strip" in shown(client, "/")
        stop_clock(by=cast.tech, stretch=stretch)
        assert "clock-strip" not in shown(client, "/vessels/")
        now("2026-03-10 09:00")
        paused = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 10:00")
        pause_clock(by=cast.tech, stretch=paused)
        assert "clock-strip" in shown(client, "/")
        now("2026-03-11 08:00")
        assert "clock-strip" not in shown(client, "/vessels/"), "a pause ends with its day"

    def test_it_asks_the_database_only_where_there_is_something_to_show(
        self, cast: Cast, lines: list[JobLine], now: Now
    ) -> None:
        client = signed_in(cast.tech)
        client.get("/vessels/")
        with asked() as before:
            client.get("/vessels/")
        for line in lines:
            start_clock(by=cast.tech, line=line)
        now("2026-03-11 08:00")
        start_clock(by=cast.tech, line=lines[0])
        client.get("/")
        with asked() as then:
            client.get("/vessels/")
        assert then.queries == before.queries + 1


class TestAJob:
    def test_what_is_corrected_and_voided_is_marked(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        one = note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=120)
        correct_hours(by=cast.manager, stretch=one, line=lines[0], day=MONDAY, minutes=90, reason="Phone call.")
        other = note_hours(by=cast.tech, line=lines[1], day=MONDAY, minutes=30)
        void_hours(by=cast.tech, stretch=other, reason="Another boat.")
        page = shown(signed_in(cast.desk), f"/jobs/{job.number}/hours/")
        assert "<s>2 h</s>" in page
        assert "corrected</span> by Mina Sparrow, Mar 10, 8:00 AM: Phone call." in page
        assert "<s>0.5 h</s>" in page
        assert "voided</span> by Tomas Reef, Mar 10, 8:00 AM: Another boat." in page
        assert "Worked <b>1.5 h</b>, charged for it <b>0 h</b>" in page

    def test_one_touch_charges(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=92)
        note_hours(by=cast.tech, line=lines[1], day=MONDAY, minutes=60)
        client, at = signed_in(cast.desk), f"/jobs/{job.number}/hours/"
        assert "Charge 2.5 h as $300.00" in shown(client, at)
        client.post(f"{at}charge/", {"seen_minutes": "152"})
        assert [str(one.quantity) for one in Charge.objects.order_by("pk")] == ["1.50", "1.00"]
        page = shown(client, at)
        assert "Charge 2.5 h" not in page
        assert "Worked <b>1.53 h</b>, charged for it <b>1.5 h</b>" in page
        assert "The job: worked 2.53 h, charged for it 2.5 h, not charged yet 0 h." in page
        assert "Worked <b>1.53 h</b>, charged for it <b>1.5 h</b>" in shown(client, f"/jobs/{job.number}/lines/")

    def test_hours_changed_after_they_were_charged_are_told(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        one = note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=120)
        client = signed_in(cast.desk)
        client.post(f"/jobs/{job.number}/hours/charge/", {"seen_minutes": "120"})
        correct_hours(by=cast.tech, stretch=one, line=lines[0], day=MONDAY, minutes=90, reason="Phone call.")
        assert "“Labor” on line 1: charged 2 h, worked 1.5 h now." in shown(client, f"/jobs/{job.number}/hours/")

    def test_a_technician_sees_no_price_to_charge(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=120)
        page = shown(signed_in(cast.tech), f"/jobs/{job.number}/hours/")
        assert "Would be" not in page
        assert "hours/charge/" not in page

    def test_queries_do_not_grow(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        client = signed_in(cast.manager)
        counts = []
        for _ in range(2):
            for line in lines:
                one = note_hours(by=cast.tech, line=line, day=MONDAY, minutes=10)
                correct_hours(by=cast.tech, stretch=one, line=line, day=MONDAY, minutes=5, reason="x")
                stop_clock(by=cast.manager, stretch=start_clock(by=cast.manager, line=line))
            pages = [f"/jobs/{job.number}/hours/", f"/jobs/{job.number}/lines/", f"/hours/of/{cast.tech.pk}/"]
            [client.get(page) for page in pages]
            asked_for = []
            for page in pages:
                with asked() as one_page:
                    client.get(page)
                asked_for.append(one_page.queries)
            counts.append(asked_for)
        assert counts[0] == counts[1]


class TestForms:
    def test_what_was_typed_stays_beside_the_sentence(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        told = {"line": lines[0].pk, "day": "2026-03-09", "started": "14:00", "ended": "13:00", "remark": "At the dock"}
        answer = signed_in(cast.tech).post(f"/jobs/{job.number}/hours/note/", told)
        assert answer.status_code == 422
        page = answer.content.decode()
        assert "It ends before it begins." in page
        assert 'value="At the dock"' in page

    def test_a_time_that_the_clocks_skip_is_told(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        told = {"line": lines[0].pk, "day": "2026-03-08", "started": "02:30", "ended": "05:00"}
        page = signed_in(cast.tech).post(f"/jobs/{job.number}/hours/note/", told).content.decode()
        assert "there was no 2:30 AM" in page

    @pytest.mark.parametrize("hours", ["-1", "25", "lots", "99999", "1e5"])
    def test_absurd_hours(self, cast: Cast, job: Job, lines: list[JobLine], hours: str) -> None:
        told = {"line": lines[0].pk, "day": local_day(job.opened_at).isoformat(), "hours": hours}
        assert signed_in(cast.tech).post(f"/jobs/{job.number}/hours/note/", told).status_code == 422
        assert Stretch.objects.count() == 0

    @pytest.mark.parametrize(
        ("hours", "said"),
        [("0", "No less than 0.01."), ("-1", "No less than 0.01."), ("0.004", "At most 2 digits"), ("0.01", "")],
    )
    def test_the_limit_that_is_told_is_one_that_is_taken(
        self, cast: Cast, job: Job, lines: list[JobLine], hours: str, said: str
    ) -> None:
        told = {"line": lines[0].pk, "day": local_day(job.opened_at).isoformat(), "hours": hours}
        answer = signed_in(cast.tech).post(f"/jobs/{job.number}/hours/note/", told)
        assert answer.status_code == (422 if said else 302)
        assert said in answer.content.decode()

    def test_overlapping_hours_are_kept_when_sent_again(
        self, cast: Cast, job: Job, lines: list[JobLine], now: Now
    ) -> None:
        stretch = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 10:00")
        stop_clock(by=cast.tech, stretch=stretch)
        client, at = signed_in(cast.tech), f"/jobs/{job.number}/hours/note/"
        told = {"line": lines[1].pk, "day": "2026-03-10", "started": "09:00", "ended": "09:30"}
        page = client.post(at, told)
        assert "lies over this." in page.content.decode()
        key = page.content.decode().split('name="asked" value="')[1].split('"')[0]
        assert client.post(at, {**told, "asked": key}).status_code == 302
        assert "lies over other hours" in shown(client, f"/hours/of/{cast.tech.pk}/")

    def test_nobody_corrects_what_is_not_theirs(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        hers = note_hours(by=cast.manager, line=lines[0], day=MONDAY, minutes=60)
        for act in ("correct", "void", "until"):
            assert signed_in(cast.tech).get(f"/hours/{hers.pk}/{act}/").status_code == 403
            assert signed_in(cast.owner).get(f"/hours/{hers.pk}/{act}/").status_code == 200


class TestTables:
    def rows(self, client: Client, address: str) -> list[dict[str, str]]:
        answer = client.get(address)
        assert answer.headers["Content-Type"].startswith("text/csv")
        return list(csv.DictReader(io.StringIO(answer.getvalue().decode())))

    def test_a_jobs_hours(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        one = note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=95, remark="=1+1")
        now("2026-03-10 08:30")
        correct_hours(by=cast.manager, stretch=one, line=lines[1], day=MONDAY, minutes=90, reason="The pump.")
        start_clock(by=cast.tech, line=lines[0])
        rows = self.rows(signed_in(cast.desk), f"/jobs/{job.number}/hours.csv")
        told = [(row["Minutes"], row["Hours"], row["Line"], row["How"], row["Counts"], row["Why"]) for row in rows]
        assert told == [
            ("95", "1.58", "1", "noted", "no: corrected", ""),
            ("90", "1.50", "2", "corrected", "yes", "The pump."),
            ("", "running", "1", "clocked", "yes", ""),
        ]
        now("2026-03-11 08:30")
        assert self.rows(signed_in(cast.desk), f"/jobs/{job.number}/hours.csv")[2]["Hours"] == "not known"
        assert rows[0]["Remark"] == "'=1+1"
        assert rows[2]["From"] == "2026-03-10T08:30:00-04:00"

    def test_a_persons_hours_of_some_days(self, cast: Cast, lines: list[JobLine]) -> None:
        for day in (date(2026, 3, 1), MONDAY):
            note_hours(by=cast.tech, line=lines[0], day=day, minutes=60)
        client, at = signed_in(cast.desk), f"/hours/of/{cast.tech.pk}"
        assert [row["Day"] for row in self.rows(client, f"{at}.csv")] == ["2026-03-09"]
        assert len(self.rows(client, f"{at}.csv?from=2026-03-01&to=2026-03-09")) == 2
        for odd, said in (
            ("from=x", "“x” cannot be read as a day"),
            ("from=2026-13-40", "“2026-13-40” cannot be read as a day"),
            ("from=2026-03-09&to=2026-03-01", "Mar 9, 2026 is after Mar 1, 2026."),
            ("from=2020-03-09&to=2026-03-01", "Mar 9, 2020 to Mar 1, 2026 is longer than 370 days."),
            ("from=0001-01-01", "“0001-01-01” is too long ago"),
            ("to=9999-12-31", "“9999-12-31” is too far ahead"),
        ):
            page = client.get(f"{at}/?{odd}")
            assert page.status_code == 200
            assert said in page.content.decode()
            assert client.get(f"{at}.csv?{odd}").status_code == 302
        assert "This week is shown" not in client.get(f"{at}/?to=2026-03-01").content.decode()


class TestSentLate:
    """What a tablet kept without a connection, and sends by a script that has to know what became of it."""

    def sent(self, client: Client, address: str, at: str, key: UUID, **more: object) -> tuple[int, str]:
        told = {"happened_at": local(at).isoformat(), "entry_id": str(key), **more}
        answer = client.post(address, told, headers={"accept": "application/json"})
        return answer.status_code, answer.json()["said"]

    def test_each_touch_at_its_time_also_twice(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        now("2026-03-10 17:00")
        client, where = signed_in(cast.tech), f"job {job.number}, line 1"
        on, off, key = f"/jobs/{job.number}/lines/1/clock/", "/hours/{}/stop/", uuid4()
        late = (on, "2026-03-10 08:10", key), (off.format(key), "2026-03-10 11:40", uuid4())
        said = [self.sent(client, *one) for one in (*late, *late)]
        assert said[0] == (200, f"Your clock runs on {where}.")
        assert said[1] == (200, f"The clock on {where} is off after 3.5 h.")
        assert said[2] == (200, f"Your clock ran on {where} for 3.5 h.")
        assert said[3] == said[1]
        assert [(one.minutes, one.is_open) for one in Stretch.objects.all()] == [(210, False)]
        page = client.get("/hours/")
        assert list(page.context["messages"]) == []  # who touched it hours ago is not told as of now

    def test_yesterday_is_as_true_as_today(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        now("2026-03-11 07:30")
        client, key = signed_in(cast.tech), uuid4()
        on, off = f"/jobs/{job.number}/lines/1/clock/", f"/hours/{key}/stop/"
        assert self.sent(client, on, "2026-03-10 13:00", key)[0] == 200
        assert "Until when was it?" in shown(client, "/")
        assert self.sent(client, off, "2026-03-10 17:15", uuid4())[1].endswith("is off after 4.25 h.")
        assert "Until when was it?" not in shown(client, "/")

    def test_hours_that_it_cuts_are_told(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        first = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 15:00")
        stop_clock(by=cast.tech, stretch=first)
        late = f"/jobs/{job.number}/lines/2/clock/", "2026-03-10 10:00", uuid4()
        client = signed_in(cast.tech)
        runs = f"Your clock runs on job {job.number}, line 2."
        cut = f"Your hours on job {job.number}, line 1 end at that moment now: 2 h instead of 7 h."
        assert [self.sent(client, *late)[1] for _ in range(2)] == [f"{runs} {cut}", runs]

    def test_a_slip_of_the_finger_is_less_than_a_minute(
        self, cast: Cast, job: Job, lines: list[JobLine], now: Now
    ) -> None:
        stretch = start_clock(by=cast.tech, line=lines[0])
        said = self.sent(signed_in(cast.tech), f"/hours/{stretch.pk}/stop/", "2026-03-10 08:00", uuid4())[1]
        assert said == f"The clock on job {job.number}, line 1 is off after less than a minute."

    def test_what_is_refused_says_why(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        client, on = signed_in(cast.tech), f"/jobs/{job.number}/lines/1/clock/"
        refused = [
            ("2026-03-10 09:30", {}, 422, "This time is in the future."),
            ("2025-03-01 09:30", {}, 422, "This is more than a year ago."),
            ("2026-03-10 08:00", {"touched_by": str(cast.manager.pk)}, 409, "Somebody else is logged in here now."),
        ]
        for at, more, status, words in refused:
            answer = self.sent(client, on, at, uuid4(), **more)
            assert answer[0] == status
            assert answer[1].startswith(words)
        assert self.sent(client, on, "2026-03-10 08:00", uuid4(), touched_by=str(cast.tech.pk))[0] == 200
        assert client.post(f"/hours/{uuid4()}/stop/", headers={"accept": "application/json"}).status_code == 404
        assert Stretch.objects.count() == 1

    def test_the_page_that_follows_says_it_where_it_was_just_touched(
        self, cast: Cast, job: Job, lines: list[JobLine], now: Now
    ) -> None:
        client = signed_in(cast.tech)
        self.sent(client, f"/jobs/{job.number}/lines/1/clock/", "2026-03-10 08:00", uuid4(), follows="page")
        page = client.get("/hours/")
        assert [str(one) for one in page.context["messages"]] == [f"Your clock runs on job {job.number}, line 1."]
