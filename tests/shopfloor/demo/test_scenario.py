"""The demo scenario: what it promises is there, it is the same each time, and all its pages open."""

from __future__ import annotations

import io
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import transaction
from django.db.models import Count, F, Max
from django.test import Client
from django.utils import timezone

from billing.authorizations.guarding import limit_words
from billing.authorizations.models import Authorization, DeferredWork
from billing.authorizations.queries import standing_of
from billing.estimates.models import Estimate
from billing.invoices.models import CreditNote, Invoice, LooseWriteOff
from billing.invoices.queries.balances import gaps_of, held_of_everybody, open_invoices
from commands.models import Command
from findings.canlogs.models import CanLog
from findings.faults.models import Fault, Scan
from findings.happenings.standing import standing_protections
from findings.readings.models import Reading
from findings.reports.models import IssuedReport, ReportDraft
from findings.reports.record import from_json
from shopfloor.demo.stage import Stage
from staff.doors.models import AccountEvent
from staff.models import Person
from staff.policy import Permission, Role, may
from staff.queries import shop_profile
from tests.shopfloor.demo.crawling import Crawl, PageReader
from tests.shopfloor.demo.playing import LAST_DAY, empty_the_database, play
from tests.shopfloor.test_permissions import NOT_THERE, ROWS
from vessels.log.evidence import effective
from vessels.models import Customer, Engine, LogEntry, Vessel
from workorders.appointments.models import Appointment, AppointmentChange, Bay
from workorders.calls.listing import page_of_calls
from workorders.calls.models import Call
from workorders.jobparts.models import AwaitedPart
from workorders.jobparts.queries.fitted import parts_on
from workorders.labor.days import overlaps_among
from workorders.labor.queries import job_labor
from workorders.models import Job
from workorders.states import JobState
from workorders.upkeep.models import LayUp

# make demo is tried in the usual run, by the real processes
pytestmark = [pytest.mark.django_db, pytest.mark.long, pytest.mark.timeout(900)]

EVERY_ONE = 6
REPORTED = {LogEntry: {"kind__startswith": "report"}}  # signed when it is played, by the real clock

# Answers that are drawn into a page, or need no link: everything else a person reaches by touching.
NOT_LINKED = {
    "health": "for whoever watches the server",
    "account_login": "for those who are not signed in",
    "account_logout": "by a button",
    "staff:logo": "a picture, and this shop has none",
    "findings:explain": "drawn under the code that is typed",
    "findings:judged": "drawn under the value that is typed",
    "findings:find_parameter": "drawn under the words that are typed",
    "findings:can_log_progress": "drawn while a log is being read",
    "reports:progress": "drawn while a report is being signed",
    "calendar:address": "shown once, right after a feed was made",
    "calendar:feed": "at a secret address that no page keeps",
    "offline": "stands in for a page without a connection",
    "service_worker": "asked for by the browser",
    "passkey_login": "asked by the script of the login page",
    "mfa_authenticate": "asked for at login, of those who have a second factor",
    "staff:factor_codes": "for those who have a second factor",
    "staff:factor_passkey": "for those who have one",
    "staff:factor_remove": "for those who have one",
    "staff:factors_reset": "for somebody who has a second factor",
    "upkeep:letter_pdf": "linked once the letter is drawn, and nobody draws here",
    "workorders:parts_charge": "where the form of the Lines tab is sent",
}


@pytest.fixture(scope="module")
def scenario(django_db_setup: None, django_db_blocker: Any) -> Iterator[Stage]:
    """The stage after the last scene, for the whole module; rolled back at its end."""
    with django_db_blocker.unblock():
        outer = transaction.atomic()
        outer.__enter__()
        try:
            yield play()
        finally:
            transaction.set_rollback(True)
            outer.__exit__(None, None, None)


@pytest.fixture(autouse=True)
def _on_stage(scenario: Stage) -> None:
    """Every test of this file looks at the same scenario."""


def test_the_shop_is_as_large_as_promised() -> None:
    assert Vessel.objects.count() >= 12
    assert Engine.objects.count() >= 20
    assert Job.objects.count() >= 60
    opened = list(Job.objects.values_list("opened_at", flat=True))
    assert (max(opened) - min(opened)).days >= 3.75 * 365
    assert Person.objects.count() == 6
    assert set(Person.objects.values_list("role", flat=True)) == {role.value for role in Role}
    assert len(set(Vessel.objects.values_list("kind", flat=True))) >= 4
    positions = set(Engine.objects.values_list("position", flat=True))
    assert positions >= {"port", "starboard", "single", "generator"}


def test_nothing_happens_after_the_last_day_and_the_shop_is_there_before_its_first_job() -> None:
    acts = Command.objects.exclude(kind__endswith="_report").order_by(
        "received_at"
    )  # reports are signed when it is played
    assert timezone.localdate(acts.last().received_at) <= LAST_DAY
    first = acts.filter(kind="open_job").first().received_at
    for kind in ["add_part", "add_customer", "add_card", "add_instrument"]:
        assert acts.filter(kind=kind).first().received_at < first, kind
    entries = LogEntry.objects.exclude(kind__startswith="report")
    assert timezone.localdate(entries.latest("recorded_at").recorded_at) <= LAST_DAY


def test_no_row_that_dates_itself_has_the_moment_of_the_filling() -> None:
    by_the_real_clock = {*apps.get_app_config("reports").get_models(), Command, AccountEvent}
    for model in set(apps.get_models()) - by_the_real_clock:
        names = [field.name for field in model._meta.get_fields() if getattr(field, "default", None) is timezone.now]
        for name in names:
            last = model._default_manager.exclude(**REPORTED.get(model, {})).aggregate(last=Max(name))["last"]
            assert last is None or timezone.localdate(last) <= LAST_DAY, f"{model.__name__}.{name}"


def test_jobs_stand_in_many_states() -> None:
    states = set(Job.objects.values_list("state", flat=True))
    assert states >= {JobState.CLOSED, JobState.IN_WORK, JobState.ESTIMATE, JobState.READY, JobState.WAITING_PARTS}


def test_a_week_is_planned_and_calls_were_made() -> None:
    states = {one.state for one in Appointment.objects.all()}
    assert states == {"planned", "missed"}
    assert Bay.objects.count() == 3
    assert Appointment.objects.filter(vessel=None).exists()
    assert AppointmentChange.objects.filter(done="moved").exists()
    assert Call.objects.filter(again_on__gt=LAST_DAY).exists()  # on the day that it is filled these rest
    assert page_of_calls("", size=100).now


def test_estimates_wait_answers_of_every_kind_are_noted_and_what_was_declined_is_kept() -> None:
    noted = list(Authorization.objects.select_related("job"))
    assert {one.how for one in noted} == {"drawn", "phone", "message", "paper", "person"}
    for one in noted:
        standing = standing_of(one.job)
        if not standing.limit.is_open:
            assert standing.limit.sum is not None
            assert standing.total <= standing.limit.sum, one.job
        assert one.job.opened_at < one.said_at <= one.noted_at
    assert DeferredWork.objects.filter(state=DeferredWork.OPEN).count() == 2
    assert DeferredWork.objects.filter(state=DeferredWork.DROPPED).count() == 1
    assert DeferredWork.objects.filter(is_safety=True).count() == 1
    given = list(Estimate.objects.exclude(given_at=None).select_related("job").order_by("pk"))
    assert all(one.given_at is not None and one.given_at > one.job.opened_at for one in given)
    draft = Estimate.objects.get(given_at=None)
    assert (draft.job.vessel.name, draft.revision, draft.options.count()) == ("Pintail", 2, 1)
    answered = {one.job_id for one in noted if one.revision is not None}
    waiting = {one.job.number for one in given if one.job_id not in answered}
    assert len(waiting) == 2  # of a job in estimate, and of one that waits for its customer
    called = page_of_calls("", size=100)
    assert waiting <= {row.job.number for row in [*called.now, *called.later]}


def test_money_stands_open_for_each_thing_that_is_done_about_it() -> None:
    currency = shop_profile().currency
    held = held_of_everybody(currency)
    credit = {Customer.objects.get(pk=pk).name: one.credit for pk, one in held.items() if one.credit}
    assert credit == {"Lagoon Rentals": Decimal("140.00"), "Bertil Kroll": Decimal("60.00")}
    owing = {gap.payment.customer.name: gap.lacks for gap in gaps_of(currency)}
    assert owing == {"Hedda and Rolf Brandvold": Decimal("200.00")}
    still_open = {invoice.customer.name for invoice in open_invoices().select_related("customer")}
    assert still_open == {"Hedda and Rolf Brandvold", "Bertil Kroll", "Delphine Ames"}
    assert LooseWriteOff.objects.filter(reversed_by=None).count() == 1


def test_small_jobs_one_under_warranty_and_one_with_no_ceiling() -> None:
    of_nothing = Invoice.objects.get(total=0)
    assert (of_nothing.job.vessel.name, of_nothing.job.state, of_nothing.charged.count()) == ("Plover", "closed", 2)
    said = limit_words(standing_of(of_nothing.job))
    assert said.endswith("So a charge that brings the job above $0.00 is stopped.")
    free = Authorization.objects.get(is_open=True)
    standing = standing_of(free.job)
    assert standing.is_past_the_likely
    assert [(one.is_core, one.quantity) for one in free.job.charges.order_by("pk")][2:] == [(True, 1), (True, -1)]
    assert any(ask.key == f"likely-{free.pk}" for row in page_of_calls("", size=100).now for ask in row.asks)


def test_an_order_came_in_part() -> None:
    bolts = AwaitedPart.objects.filter(number="N6-5109").order_by("pk")
    assert {(one.quantity, one.arrived_at is None) for one in bolts} == {(Decimal(4), False), (Decimal(2), True)}


def test_a_used_part_waits_for_its_charge_a_fee_has_a_discount_and_a_boat_is_laid_up() -> None:
    job = Job.objects.get(vessel__name="Sandpiper", state=JobState.WAITING_WEATHER)
    (part,) = parts_on(job).uncharged
    assert (part.fitted.condition, part.fitted.part) == ("used", None)
    assert job.charges.get(kind="fee").discount_percent == 50
    assert set(LayUp.objects.filter(until_on=None).values_list("vessel__name", flat=True)) == {"Tern"}


def test_one_fault_returned_three_times_and_its_last_repair_held() -> None:
    fault = Fault.objects.get(returns=3)
    assert fault.vessel.name == "Marguerite"
    assert fault.state == "historic"
    assert fault.appearances.count() == 4


def test_one_comeback_within_twenty_hours() -> None:
    faults = Fault.objects.filter(returns__gt=0)
    gaps = [gap for fault in faults for gap in fault.appearances.values_list("gap_hours", flat=True) if gap is not None]
    assert sum(gap < Decimal(20) for gap in gaps) == 1


def test_a_reading_creeps_near_its_limit() -> None:
    found = Reading.objects.filter(entry__vessel__name="Plover", parameter__name="Fuel pressure", value__lt=100)
    values = list(found.order_by("entry__happened_at").values_list("value", "verdict"))
    assert len(values) >= 4
    assert [value for value, _ in values] == sorted((value for value, _ in values), reverse=True)
    assert (values[0][1], values[-1][1]) == ("in range", "near")


def test_one_meter_was_replaced_and_the_true_hours_go_on() -> None:
    (engine,) = [engine for engine in Engine.objects.all() if engine.meters.count() > 1]
    hours = list(
        LogEntry.objects.filter(engine=engine, engine_hours__isnull=False)
        .order_by("happened_at")
        .values_list("kind", "engine_hours")
    )
    assert [value for _, value in hours] == sorted(value for _, value in hours)
    kinds = [kind for kind, _ in hours]
    assert "meter-replaced" in kinds
    assert "hours" in kinds[kinds.index("meter-replaced") :]
    new = engine.meters.latest()
    assert new.shown_when_fitted < new.engine_hours_when_fitted < hours[-1][1]


def test_one_boat_changed_its_owner_and_kept_its_history() -> None:
    (vessel,) = [vessel for vessel in Vessel.objects.all() if vessel.ownerships.count() > 1]
    before, after = vessel.ownerships.order_by("since")
    assert vessel.owner == after.customer
    assert set(vessel.jobs.values_list("customer", flat=True)) == {before.customer_id, after.customer_id}


def test_a_report_was_issued_revised_and_another_waits_for_its_signature() -> None:
    first, second = IssuedReport.objects.order_by("sequence")
    assert second.supersedes == first


def test_a_correction_is_written_once_it_is_done_and_proven() -> None:
    found = effective(LogEntry.objects.filter(kind__in=["scan", "reading", "work-done", "clear", "part-fitted"]))
    last = dict(found.values_list("job").annotate(Max("happened_at")).order_by())
    written = [
        (entry.happened_at, last[entry.job_id], entry.job_id)
        for entry in LogEntry.objects.filter(kind="job-changed", summary__contains="correction").exclude(job=None)
        if entry.job_id in last
    ]
    assert len(written) > 50
    assert [job for at, before, job in written if at <= before] == []


def test_what_else_was_found_and_done_is_of_each_kind() -> None:
    kinds = ("visual-finding", "function-test", "setting-changed", "setting-set-back")
    entries = LogEntry.objects.filter(kind__in=kinds)
    counts = dict(entries.values_list("kind").annotate(Count("pk")).order_by())
    assert counts == dict(zip(kinds, (3, 3, 3, 1), strict=True))
    saffron, marguerite = Vessel.objects.get(name="Saffron Sky"), Vessel.objects.get(name="Marguerite")
    assert [one.setting for one in standing_protections(saffron)] == ["Low fuel alarm, helm display"]
    assert standing_protections(marguerite) == []  # the one there was set back
    told = from_json(IssuedReport.objects.latest("sequence").record).findings
    assert (len(told.visual), len(told.tests), len(told.settings)) == (2, 2, 1)


def test_one_job_has_a_can_log_and_what_was_logged_from_it() -> None:
    log = CanLog.objects.get()
    scan = Scan.objects.get(file_sha256=log.sha256)
    assert (log.state, scan.entry.job, scan.source) == ("read", log.job, "can-log")
    assert sorted(str(row) for row in scan.sightings.all()) == [
        "SPN 100 FMI 18 active",
        "Status: low oil pressure active",
    ]
    readings = Reading.objects.filter(file_sha256=log.sha256)
    assert set(readings.values_list("entry__engine__position", flat=True)) == {"port", "starboard"}
    port = readings.get(parameter__name="Oil pressure", entry__engine__position="port")
    assert (port.verdict, port.minimum < port.low) == ("out", True)


def test_log_and_faults_agree_with_what_was_written() -> None:
    out = io.StringIO()
    call_command("verify_log", stdout=out)
    assert "every digest agrees" in out.getvalue()
    call_command("rebuild_faults", "--check", stdout=io.StringIO())


def test_a_filled_database_is_left_alone() -> None:
    before = LogEntry.objects.count()
    with pytest.raises(CommandError, match="not empty"):
        call_command("demo")
    out = io.StringIO()
    call_command("demo", "--if-empty", stdout=out)
    assert LogEntry.objects.count() == before
    told = [line.split() for line in out.getvalue().splitlines() if line.startswith("login: ")]
    assert {(role, user) for _, role, user, _ in told} == set(Person.objects.values_list("role", "username"))
    for _, _, user, password in told:
        assert Person.objects.get(username=user).check_password(password)


def test_the_hours_are_those_in_which_the_work_was_logged() -> None:
    jobs = list(Job.objects.filter(lines__stretches__isnull=False).distinct())
    assert len(jobs) >= 8
    shop, found = shop_profile(), {}
    for job in jobs:
        labor = found[job.number] = job_labor(job, shop=shop)
        assert labor.sold + labor.unsold == labor.clocked > 0
        assert labor.running == []
        assert labor.changed == []
        clocked = [one for one in labor.stretches if one.source == "clock"]
        for person in {one.person for one in clocked}:
            assert overlaps_among([one for one in clocked if one.person == person]) == set()
        # Whoever logs a scan, a reading or work had a clock running then, or left it running.
        entries = LogEntry.objects.filter(job=job, kind__in=["scan", "work", "cleared", "part-fitted"])
        for entry in entries.exclude(recorded_at__date__gt=F("happened_at__date")):
            assert any(
                one.person_id == entry.author_id
                and one.started_at <= entry.happened_at <= (one.ended_at or entry.happened_at)
                for one in clocked
            ), f"{entry} {entry.happened_at}"
    every = [one for labor in found.values() for one in labor.stretches]
    kinds = {end.kind for one in every for end in one.ends.all()}
    assert kinds == {"off", "pause", "handed-over"}
    assert {one.source for one in every} == {"clock", "noted", "corrected"}
    assert len([one for labor in found.values() for one in labor.asked]) == 1
    assert any(labor.sold and not labor.unsold for labor in found.values())
    assert any(labor.unsold and labor.all_by_hand for labor in found.values())
    assert sum(labor.clocked for labor in found.values()) > sum(labor.sold for labor in found.values()) > 0


def facts() -> dict[str, list[Any]]:
    """What happened, without the reports' digests and codes, which are signed anew, and their real moments."""
    entries = LogEntry.objects.exclude(kind__startswith="report").order_by("pk")
    faults = Fault.objects.order_by("vessel__name", "unit__engine__position", "code")
    return {
        "entries": list(
            entries.values_list(
                "pk", "kind", "vessel__name", "engine__serial", "job__number", "author__username", "happened_at",
                "recorded_at", "engine_hours", "summary", "text",
            )
        ),
        "jobs": list(Job.objects.order_by("number").values_list("number", "vessel__name", "state", "opened_at")),
        "faults": list(faults.values_list("vessel__name", "unit__engine__serial", "code", "state", "returns")),
        "scans": list(Scan.objects.order_by("pk").values_list("pk", "phase", "is_complete")),
        "readings": list(Reading.objects.order_by("pk").values_list("pk", "value", "unit", "verdict")),
    }  # fmt: skip


@pytest.mark.long
@pytest.mark.slow
def test_played_again_the_same_things_happen() -> None:
    first = facts()
    assert len(first["entries"]) > 900
    empty_the_database()
    assert not any(facts().values())
    play()
    again = facts()
    for name, rows in first.items():
        assert again[name] == rows, name


def unfinished() -> dict[str, tuple[str, str, set[int]]]:
    """What looks another way than the others of its kind: routes that begin so, their argument, and its values."""
    currency = shop_profile().currency
    held = {customer for customer, one in held_of_everybody(currency).items() if one.credit}
    owing = {gap.payment.customer_id for gap in gaps_of(currency)}
    payers = [invoice for invoice in open_invoices(Invoice.objects.all()) if invoice.customer_id in held]
    laid_up = set(LayUp.objects.filter(struck_at=None).values_list("vessel", flat=True))
    writes = set(Estimate.objects.filter(given_at=None).values_list("job__number", flat=True))
    loose = set(LooseWriteOff.objects.values_list("customer", flat=True))
    credited = set(CreditNote.objects.values_list("invoice", flat=True))
    usable = {invoice.pk for invoice in payers}
    signed = set(Authorization.objects.filter(how=Authorization.DRAWN).values_list("job__number", flat=True))
    return {
        "laid up": ("vessels:vessel", "pk", laid_up),
        "with its service, laid up": ("upkeep:vessel", "pk", laid_up),
        "its estimate is being written": ("workorders:job", "number", writes),
        "being written": ("estimates:", "number", writes),
        "signed": ("authorizations:", "number", signed),
        "credited": ("invoices:invoice", "pk", credited),
        "may be paid from what is held": ("invoices:invoice", "pk", usable),
        **{
            f"{words}, {route}": (route, "pk", found)
            for route in ("vessels:customer", "invoices:customer")
            for words, found in {
                "is owed": held,
                "owes": owing,
                "open and held": {invoice.customer_id for invoice in payers},
                "written off": loose,
            }.items()
        },
    }


def is_about(matter: tuple[str, str, set[int]], route: str, arguments: dict[str, object]) -> bool:
    """Whether a page is about one of those."""
    begins, name, found = matter
    return route.startswith(begins) and arguments.get(name) in found


def pages_for(role: Role) -> Crawl:
    """Everything the role reaches by links.

    Of pages that show, the owner looks at every one and the others at two; of forms and entries, everybody at two of
    each kind. Jobs with a report, or with a CAN log, are another kind than those without; so are scans read from
    one, boats that were laid up, and whatever somebody still has to see to (``unfinished``).
    Each tool of the Bench is looked at on two jobs, or its tools times all jobs would be most of the program's pages.
    """
    person = Person.objects.filter(role=role.value).first()
    assert person is not None
    client = Client()
    client.force_login(person)
    kinds = {str(pk): kind for pk, kind in LogEntry.objects.values_list("pk", "kind")}
    kinds |= {str(pk): "scan of a log" for pk in Scan.objects.exclude(file_sha256=None).values_list("pk", flat=True)}
    with_log = set(CanLog.objects.values_list("job__number", flat=True))
    open_matters = unfinished()
    reported = set(ReportDraft.objects.values_list("job__number", "state"))
    shows = {row.name for row in ROWS if row.to_get == Permission.SEE_RECORDS and row.name != "vessels:entry"}

    def most(route: str, arguments: dict[str, object]) -> tuple[object, int]:
        if "slug" in arguments:
            return (route, arguments["slug"]), 2
        kind = kinds.get(str(arguments.get("pk")))
        states = tuple(sorted(state for number, state in reported if number == arguments.get("number")))
        return (
            route,
            kind,
            states,
            arguments.get("number") in with_log,
            *sorted(words for words, found in open_matters.items() if is_about(found, route, arguments)),
        ), EVERY_ONE if role is Role.OWNER and route in shows else 2

    return Crawl(client, most).run()


@pytest.mark.slow
@pytest.mark.parametrize("role", list(Role))
def test_every_page_is_linked_and_opens_for_those_who_may_see_it(role: Role) -> None:
    crawl = pages_for(role)
    assert crawl.wrong == []
    person = Person.objects.filter(role=role.value).first()
    opens = {row.name for row in ROWS if row.to_get != NOT_THERE}
    barred = {row.name for row in ROWS if isinstance(row.to_get, Permission) and not may(person, row.to_get)}
    assert opens - barred - set(crawl.routes) - set(NOT_LINKED) == set()
    assert barred & set(crawl.routes) == set()
    assert set(NOT_LINKED) & set(crawl.routes) == set()  # what is reached needs no reason


def test_the_reader_of_pages_sees_what_is_wrong() -> None:
    markup = (
        '<h1>A</h1><h1>B</h1><p id="x" style="top:0"></p><p id="x" onclick="f()"></p><a href="#y">to y</a>'
        '<script src="/static/js/a.js"></script><script>f()</script><style>p {}</style>'
    )
    assert PageReader(markup).problems() == [
        "2 h1", "style= on <p>", "onclick= on <p>", "a script's words", "<style>", "two things with the id x",
        "#y leads nowhere",
    ]  # fmt: skip


def test_the_reader_of_pages_follows_pictures_and_takes_each_choice_of_a_form_that_asks() -> None:
    markup = (
        '<img src="/a.svg"><form method="get"><select name="state"><option value="">any<option value="open">open'
        '</select><input type="checkbox" name="safety"></form><form method="post" action="/b/"><select name="kind">'
        '<option value="fee">fee</select></form>'
    )
    page = PageReader(markup)
    assert (page.links, page.choices) == (["/a.svg"], ["?state=open", "?safety=on"])
