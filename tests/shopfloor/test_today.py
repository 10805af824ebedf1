"""Today for each role: what it shows, in what order, in how many queries."""

import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import lxml.html
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from findings.faults.models import Episode
from findings.reports.models import DraftState, ReportDraft
from shopfloor.next_steps import OnRecord, next_step
from staff.policy import Role
from staff.queries import shop_profile
from tests.asking import asked
from tests.cast import keep_to_the_office, make_cast
from tests.findings.story import COOLANT, at, clear, fault, scan, seen, work
from tests.workorders.counter import many_jobs
from vessels.actions import retract
from vessels.models import Engine, LogEntry, Vessel
from workorders.actions import add_line
from workorders.jobparts.models import AwaitedPart
from workorders.models import Job
from workorders.states import JobState
from workorders.upkeep.actions import add_plan, adopt_plans, plan_line
from workorders.upkeep.models import ServicePlan

EARLY, LATE = datetime(2026, 5, 1, 8, tzinfo=UTC), datetime(2026, 5, 1, 9, tzinfo=UTC)


# --- the rule for the next step ---


@pytest.mark.parametrize(
    ("on_record", "words"),
    [
        ({"state": "estimate", "has_unit": True}, "Log the arrival scan, before anything is cleared"),
        ({"state": "estimate", "lacks_cause": True}, "Enter the cause, so that it can be authorized"),
        ({"state": "estimate", "has_unit": True, "has_arrival_scan": True}, "Waits for authorization"),
        ({"state": "authorized"}, "Start work"),
        ({"state": "authorized", "has_unit": True}, "Log the arrival scan, before anything is cleared"),
        ({"state": "in-work", "lacks_cause": True, "lacks_correction": True}, "Enter the cause"),
        ({"state": "in-work", "lacks_correction": True}, "Enter the correction"),
        ({"state": "in-work", "has_open_fault": True}, "Clear the codes"),
        ({"state": "in-work", "last_clear_at": EARLY}, "Scan again, to prove the repair"),
        ({"state": "in-work", "last_clear_at": LATE, "last_scan_at": EARLY}, "Scan again, to prove the repair"),
        (
            {"state": "in-work", "last_clear_at": EARLY, "last_scan_at": LATE},
            "Take it to sea trial, or mark it as ready",
        ),
        ({"state": "in-work"}, "Take it to sea trial, or mark it as ready"),
        ({"state": "waiting-parts", "reason": "impeller ordered"}, "Waits for parts: impeller ordered"),
        ({"state": "waiting-customer"}, "Waits for the customer"),
        ({"state": "waiting-weather", "has_unit": True}, "Waits for weather"),
        ({"state": "sea-trial", "has_unit": True, "has_arrival_scan": True}, "Log the sea trial scan"),
        (
            {"state": "sea-trial", "has_unit": True, "has_arrival_scan": True, "has_sea_trial_scan": True},
            "Mark it as ready",
        ),
        ({"state": "sea-trial"}, "Mark it as ready"),
        ({"state": "ready", "has_unit": True}, "Write the condition report"),
        ({"state": "ready", "has_report": True}, "The front desk hands it over"),
        ({"state": "closed"}, "The front desk hands it over"),
    ],
)
def test_next_step(on_record, words):
    state = JobState(on_record.pop("state"))
    assert next_step(OnRecord(state=state, **on_record)).words == words


@pytest.mark.parametrize("state", JobState)
def test_every_state_has_a_next_step_on_an_address_that_exists(state):
    for lacking in [True, False]:
        step = next_step(OnRecord(state=state, lacks_cause=lacking, has_unit=lacking))
        assert reverse(step.url_name, args=[1001]).startswith("/jobs/1001/")


# --- the page ---


def _job(cast, number, state="in-work", *, promised=None, technician=None, since=0, opened=0, vessel=None):
    """A plain row. ``promised``, ``since`` and ``opened`` are days from today, backward when negative."""
    now = timezone.now()
    job = Job.objects.create(
        number=number,
        vessel=vessel or cast.vessel,
        customer=cast.customer,
        state=state,
        opened_by=cast.desk,
        opened_at=now + timedelta(days=opened),
        state_since=now + timedelta(days=since),
        promised_on=None if promised is None else timezone.localdate() + timedelta(days=promised),
        technician=technician,
        closed_at=now if state in {"closed", "canceled"} else None,
    )
    job.lines.create(position=1, concern=f"Concern of {number}")
    job.lines.create(position=2, concern="Second concern")
    return job


def _page(client, person):
    client.force_login(person)
    answer = client.get("/")
    assert answer.status_code == 200
    return answer.context["page"], answer.content.decode()


def _numbers(page, title):
    section = next(section for section in page.sections if section.title == title)
    return [job.number for job in section.jobs]


@pytest.fixture
def cast(db):
    return make_cast()


def test_front_desk_sees_each_job_where_it_belongs(client, cast):
    _job(cast, 1, promised=-1, opened=-9)
    _job(cast, 2, promised=0, opened=-9)
    _job(cast, 3, "ready", promised=-3, opened=-9)
    _job(cast, 4, "waiting-customer", opened=-9)
    _job(cast, 5, "estimate")
    _job(cast, 6, promised=2, opened=-9)
    for number, state in [(7, "closed"), (8, "canceled")]:
        _job(cast, number, state, promised=-5, opened=-9)
    page, html = _page(client, cast.desk)
    assert _numbers(page, "Overdue") == [1]
    assert _numbers(page, "Promised for today") == [2]
    assert _numbers(page, "Ready to hand over") == [3]
    assert set(_numbers(page, "Waiting for the customer")) == {4, 5}
    assert _numbers(page, "Came in today") == [5]
    assert "Concern of 1" in html
    assert "Second concern" not in html
    assert reverse("workorders:open") in html


def test_a_section_shows_few_and_counts_all(client, cast):
    for number in range(12):
        _job(cast, 100 + number, "ready", since=-number)
    page, html = _page(client, cast.desk)
    section = next(section for section in page.sections if section.title == "Ready to hand over")
    assert (len(section.jobs), section.total, section.more) == (8, 12, 4)
    assert section.jobs[0].number == 111
    assert "4 more on the board" in html


def test_days_are_the_shops(client, cast):
    profile = shop_profile()
    profile.time_zone = "Pacific/Kiritimati"
    profile.save()
    ahead = timezone.localdate(timezone=ZoneInfo("Pacific/Kiritimati"))
    _job(cast, 1)
    Job.objects.update(promised_on=ahead)
    page, _ = _page(client, cast.desk)
    assert _numbers(page, "Promised for today") == [1]


def test_technician_sees_own_jobs_in_working_order_with_the_next_step(client, cast):
    keep_to_the_office()
    waits = _job(cast, 1, "waiting-parts", promised=0, technician=cast.tech)
    later = _job(cast, 2, promised=5, technician=cast.tech)
    sooner = _job(cast, 3, promised=1, technician=cast.tech)
    _job(cast, 4, promised=0, technician=cast.manager)
    _job(cast, 5, "closed", technician=cast.tech)
    nobodys = _job(cast, 6, "authorized")
    page, html = _page(client, cast.tech)
    assert [own.job for own in page.own_jobs] == [sooner, later, waits]
    assert page.own_total == 3
    assert {own.step.words for own in page.own_jobs[:2]} == {"Log the arrival scan, before anything is cleared"}
    assert reverse("findings:scan", args=[3]) in html
    assert _numbers(page, "Nobody’s yet") == [nobodys.number]
    assert reverse("workorders:open") not in html


def test_next_step_follows_the_evidence(client, cast):
    job = _job(cast, 1, technician=cast.tech)
    job.lines.update(cause="Sender", correction="Replaced")

    def step():
        return _page(client, cast.tech)[0].own_jobs[0].step.words

    assert step() == "Log the arrival scan, before anything is cleared"
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    assert step() == "Clear the codes"
    clear(cast, 1, 101, job=job)
    assert step() == "Scan again, to prove the repair"
    scan(cast, 2, 102, [], job=job, phase="after-repair")
    assert step() == "Take it to sea trial, or mark it as ready"
    Job.objects.update(state="sea-trial")
    assert step() == "Log the sea trial scan"
    scan(cast, 3, 104, [], job=job, phase="sea-trial")
    assert step() == "Mark it as ready"


def test_a_scan_that_was_taken_back_does_not_count(client, cast):
    job = _job(cast, 1, technician=cast.tech)
    arrival = scan(cast, 0, 100, [seen(COOLANT)], job=job)
    retract(by=cast.tech, entry=arrival.entry, reason="Read on the other engine", entry_id=None)
    assert _page(client, cast.tech)[0].own_jobs[0].step.words.startswith("Log the arrival scan")


def test_technician_sees_open_faults_of_the_own_boats_and_the_own_log(client, cast):
    other = Vessel.objects.create(name="Elsewhere", owner=cast.customer)
    _job(cast, 1, technician=cast.tech)
    _job(cast, 2, technician=cast.manager, vessel=other)
    scan(cast, 0, 100, [seen(COOLANT)])
    page, html = _page(client, cast.tech)
    assert [str(fault) for fault in page.open_faults] == ["SPN 110 FMI 0"]
    assert len(page.own_log) == 1
    assert reverse("findings:fault", args=[page.open_faults[0].pk]) in html
    assert _page(client, cast.manager)[0].own_jobs is None


def _bring_back(cast, *, days_ago):
    """A code that is cleared and comes back ``days_ago`` days before now, 12 h later by the meter."""
    back = (timezone.now() - at(0)).total_seconds() / 86400 - days_ago
    scan(cast, back - 3, 100, [seen(COOLANT)])
    work(cast, back - 2.5, 100, [fault()])
    clear(cast, back - 2, 100, job=_job(cast, 900, "closed", opened=-40))
    scan(cast, back, 112, [seen(COOLANT)])


def test_manager_sees_what_came_back_what_is_stuck_and_the_states(client, cast):
    _bring_back(cast, days_ago=2)
    stuck = _job(cast, 1, "waiting-parts", since=-9)
    _job(cast, 2, "ready", since=-30)
    overdue = _job(cast, 3, promised=-1, since=-1)
    page, html = _page(client, cast.manager)
    assert [episode.number for episode in page.returned] == [2]
    assert [episode.is_comeback for episode in page.comebacks] == [True]
    assert _numbers(page, "Stuck for a week or more") == [stuck.number]
    assert _numbers(page, "Overdue") == [overdue.number]
    assert dict(page.states)["Waiting for parts"] == 1
    assert dict(page.states)["Sea trial"] == 0
    assert "after 12 h" in html


def test_a_part_past_its_day_is_told_whatever_its_open_job_does(client, cast):
    """Of five that were ordered for a job in work, two came: the three that did not are as late as where it waits."""
    late = [state for state in JobState if state not in {JobState.CLOSED, JobState.CANCELED}]
    day = timezone.localdate()
    for number, state in enumerate(JobState, 1):
        job = _job(cast, number, state.value)
        made = _awaited(cast, job, day - timedelta(days=2), quantity=5)
        AwaitedPart.objects.filter(pk=made.pk).update(quantity=3)
        AwaitedPart.objects.create(
            job=job, order=made, description="Core", quantity=2, arrived_at=timezone.now(), arrived_by=cast.tech,
            added_by=cast.tech,
        )  # fmt: skip
    _awaited(cast, _job(cast, 20), day)  # expected today is not late
    for person in (cast.desk, cast.manager):
        page, html = _page(client, person)
        (section,) = [one for one in page.sections if one.title == "Parts past their day"]
        assert section.total == len(late)
        assert {JobState(job.state) for job in section.jobs} <= set(late)
        assert html.count("1 part to come, some of it here, was expected") >= len(section.jobs)


def test_no_part_is_late_where_none_is(client, cast):
    _awaited(cast, _job(cast, 1, "in-work"), timezone.localdate())
    _awaited(cast, _job(cast, 2, "waiting-parts"), None)
    assert "No part is past the day it was expected." in _page(client, cast.desk)[1]
    AwaitedPart.objects.filter(job__number=1).update(expected_on=timezone.localdate() - timedelta(days=1))
    assert "No part is past the day it was expected." not in _page(client, cast.desk)[1]


def _awaited(cast, job, expected_on, *, quantity=1):
    return AwaitedPart.objects.create(
        job=job, description="Core", quantity=quantity, expected_on=expected_on, added_by=cast.tech
    )


def test_what_came_back_long_ago_is_not_this_weeks(client, cast):
    _bring_back(cast, days_ago=9)
    page, html = _page(client, cast.manager)
    assert page.returned == []
    assert len(page.comebacks) == 1
    assert "No fault came back in the last seven days." in html
    assert Episode.objects.count() == 2


def test_what_came_back_later_than_a_repair_must_hold_is_no_comeback(client, cast):
    _bring_back(cast, days_ago=3)
    Episode.objects.update(is_comeback=False)
    page, html = _page(client, cast.manager)
    assert (len(page.returned), page.comebacks) == (1, [])
    assert (
        "In the last 30 days no fault came back within 50 h of our repair (within 365 days where hours are unknown)."
        in html
    )


def test_what_may_have_come_back_within_the_hold_is_not_denied(client, cast):
    """Repaired at 100 h, no codes at 130 h, stored at 151 h: it came back somewhere between 30 and 51 h."""
    back = (timezone.now() - at(0)).total_seconds() / 86400 - 3
    scan(cast, back - 20, 100, [seen(COOLANT)])
    work(cast, back - 19.5, 100, [fault()])
    clear(cast, back - 19, 100, job=_job(cast, 900, "closed", opened=-40))
    scan(cast, back - 9, 130)
    scan(cast, back, 151, [seen(COOLANT, "stored")])
    page, html = _page(client, cast.manager)
    assert page.comebacks == []
    assert "no fault is known to have come back within 50 h of our repair" in html
    assert "Of one return after a repair it is not known: no scan in between shows when it came back." in html
    assert "no fault came back within" not in html
    assert "seen again" in html
    page, html = _page(client, cast.owner)
    assert "no fault is known to have come back" in html


def _draft(cast, job, state):
    return ReportDraft.objects.create(
        job=job, state=state, started_by=cast.tech, reviewed_by=cast.tech, reviewed_at=timezone.now()
    )


def test_reports_to_sign_stand_before_those_who_sign(client, cast):
    draft = _draft(cast, _job(cast, 1, "ready"), DraftState.REVIEWED)
    _draft(cast, _job(cast, 2, "ready"), DraftState.DRAFTING)
    for person in [cast.manager, cast.owner]:
        page, html = _page(client, person)
        assert page.to_sign == [draft]
        assert reverse("reports:job", args=[1]) in html
    for person in [cast.tech, cast.desk]:
        page, html = _page(client, person)
        assert page.to_sign is None
        assert "Reports reviewed" not in html


def test_owner_sees_what_the_ready_jobs_come_to(client, cast):
    ready, open_one = _job(cast, 1, "ready"), _job(cast, 2)
    Job.objects.filter(pk=ready.pk).update(tax_percent="10")
    for job, price, struck in [(ready, "100.00", None), (ready, "50.00", timezone.now()), (open_one, "999.00", None)]:
        job.charges.create(
            kind="part", description="Anode", quantity=2, unit_price=price, taxable=True, added_by=cast.desk,
            struck_at=struck, struck_by=cast.desk if struck else None,
        )  # fmt: skip
    page, html = _page(client, cast.owner)
    assert (page.ready_money.jobs, page.ready_money.words) == (1, "$220.00")
    assert "$220.00" in html
    assert "$220.00" not in _page(client, cast.manager)[1]


def test_owner_is_told_what_the_profile_lacks(client, cast):
    page, html = _page(client, cast.owner)
    assert "the shop’s name, its address and a phone number" in page.hints[0].words
    assert reverse("staff:shop") in html
    profile = shop_profile()
    profile.name, profile.address, profile.phone = "Harrow Point", "3 Wharf Road", "555-0140"
    profile.save()
    cast.tech.is_active = False
    cast.tech.save()
    page, _ = _page(client, cast.owner)
    assert [hint.label for hint in page.hints] == ["Add a person"]
    for person in [cast.desk, cast.manager]:
        assert _page(client, person)[0].hints == []


def test_a_new_shop_is_told_what_to_do_first(client, cast):
    keep_to_the_office()
    _forget_boats(cast)
    for person, words in [(cast.desk, "Open the first job"), (cast.tech, "The front desk opens the first job")]:
        page, html = _page(client, person)
        assert page.is_new_shop
        assert words in html


def _forget_boats(cast):
    for engine in cast.vessel.engines.all():
        engine.units.all().delete()
        engine.meters.all().delete()
        engine.delete()
    cast.vessel.ownerships.all().delete()
    cast.vessel.delete()


@pytest.mark.parametrize("role", Role)
def test_empty_sections_say_so(client, cast, role):
    page, html = _page(client, cast.person(role))
    for section in page.sections:
        assert section.nothing in html
    if role == Role.TECHNICIAN:
        assert "No open job is assigned to you" in html


def test_today_takes_the_same_queries_for_few_and_many(cast):
    """For each role, of the same jobs."""
    clients = {role: Client() for role in Role}
    for role, client in clients.items():
        client.force_login(cast.person(role))

    def fill(numbers):
        for number in numbers:
            state = ["in-work", "ready", "waiting-customer", "sea-trial"][number % 4]
            vessel = Vessel.objects.create(name=f"Boat {number}", owner=cast.customer)
            technician = cast.tech if number % 2 else None
            job = _job(cast, number, state, promised=number % 3 - 1, technician=technician, since=-9, vessel=vessel)
            if state == "ready":
                _draft(cast, job, DraftState.REVIEWED)

    def ask():
        spent = {}
        for role, client in clients.items():
            with asked() as spent[role]:
                client.get("/")
        return spent

    _bring_back(cast, days_ago=1)
    fill(range(1, 9))
    ask()
    few = ask()
    fill(range(9, 420))
    many = ask()
    fill(range(420, 600))
    very_many = ask()
    # What is ready is summed up for the owner, so that every job that is ready is read there; of others none is.
    all_ready = sum(number % 4 == 1 for number in range(420, 600))
    for role in Role:
        assert few[role].queries == many[role].queries, role
        assert many[role].queries <= 18, role
        ready = all_ready if role == Role.OWNER else 0
        assert (very_many[role].queries, very_many[role].rows) == (many[role].queries, many[role].rows + ready), role


@pytest.mark.django_db
def test_start_work_starts_work(client):
    cast = make_cast()
    job = many_jobs(cast, 1, state="authorized", technician=cast.tech)[0]
    client.force_login(cast.tech)
    page = client.get("/")
    form = re.search(rf'<form method="post" action="/jobs/{job.number}/move/".*?</form>', page.content.decode(), re.S)[
        0
    ]
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    assert client.post(f"/jobs/{job.number}/move/", fields).url == f"/jobs/{job.number}/"
    assert Job.objects.get().state == "in-work"
    client.post(f"/jobs/{job.number}/move/", fields)  # sent again
    assert LogEntry.objects.filter(kind="job-moved").count() == 1


# --- service due ---


def _follow(cast, vessel, days_ago):
    """Have an engine of a boat follow a yearly service that was done so many days ago."""
    engine = Engine.objects.create(vessel=vessel, family=cast.family, position="single")
    plan = ServicePlan.objects.filter(name="Yearly").first()
    plan = plan or add_plan(by=cast.tech, family=cast.family, name="Yearly", every_months=12)
    day = timezone.localdate() - timedelta(days=days_ago)
    (made,) = adopt_plans(by=cast.desk, engine=engine, plans=[plan], basis="done", last_on=day, source="told")
    return made


def _service_rows(page):
    tree = lxml.html.fromstring(page.content.decode())
    links = tree.xpath("//section[@aria-labelledby='service-due-title']//a[@class='row']")
    return [(" ".join(link.xpath(".//text()[normalize-space()]")), link.get("href")) for link in links]


def test_service_due_stands_on_today_as_lines_that_lead_to_their_list(cast):
    desk, manager, owner = (Client() for _ in range(3))
    for client, person in [(desk, cast.desk), (manager, cast.manager), (owner, cast.owner)]:
        client.force_login(person)
    assert _service_rows(desk.get("/")) == [], "nothing is followed"
    _follow(cast, cast.vessel, 30)
    assert _service_rows(desk.get("/")) == [], "nothing is due"
    for number, days_ago in enumerate([400, 500, 350]):
        _follow(cast, Vessel.objects.create(name=f"Boat {number}", owner=cast.customer), days_ago)
    told = [("Overdue 2", "/service/?standing=overdue"), ("Due soon 1", "/service/?standing=soon")]
    assert _service_rows(desk.get("/")) == _service_rows(manager.get("/")) == told
    assert _service_rows(owner.get("/")) == []
    for words, url in told:
        rows = lxml.html.fromstring(desk.get(url).content.decode()).xpath("//tbody/tr")
        assert len(rows) == int(words.split()[-1]), "what is counted is what is listed"


def test_a_technician_sees_what_is_due_on_boats_with_a_job_and_on_no_job_itself(cast):
    tech = Client()
    tech.force_login(cast.tech)
    elsewhere = Vessel.objects.create(name="Elsewhere", owner=cast.customer)
    _follow(cast, elsewhere, 800)
    title = "Service due on boats with a job"
    assert title not in tech.get("/").content.decode()
    due = _follow(cast, cast.vessel, 800)
    assert title not in tech.get("/").content.decode(), "the boat has no job"
    job = _job(cast, 1, "in-work", vessel=cast.vessel)
    page = tech.get("/").content.decode()
    assert title in page
    assert f"/vessels/{cast.vessel.pk}/service/" in page
    assert "Elsewhere" not in page
    plan_line(by=cast.desk, line=add_line(by=cast.desk, job=job, concern="Service"), adoption=due)
    assert title not in tech.get("/").content.decode(), "it is on the job"


def test_service_due_takes_the_same_queries_for_few_and_many(cast):
    clients = {role: Client() for role in Role}
    for role, client in clients.items():
        client.force_login(cast.person(role))

    def spent_by(numbers):
        for number in numbers:
            vessel = Vessel.objects.create(name=f"Boat {number}", owner=cast.customer)
            _follow(cast, vessel, 800)
            _job(cast, number, "in-work", vessel=vessel)
        clients[Role.FRONT_DESK].get("/service/")
        spent = {}
        for role, client in clients.items():
            client.get("/")
            with asked() as spent[role]:
                client.get("/")
        return {role: one.queries for role, one in spent.items()}

    few, many = spent_by(range(1, 12)), spent_by(range(12, 40))
    assert few == many
    assert max(many.values()) <= 18
