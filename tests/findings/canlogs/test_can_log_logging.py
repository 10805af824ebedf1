"""What was looked through of a CAN log is logged: scans, readings, when, and status bits as faults."""

from __future__ import annotations

import io
import re
import uuid
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.urls import reverse

from findings.faults.models import Fault, Scan
from findings.faults.replaying import stale_faults
from findings.readings.models import Reading
from tests.findings.canlogs import samples as can_logs
from tests.findings.canlogs.samples import (
    BEGIN,
    OVER_TEMPERATURE,
    PREHEAT,
    answers_of,
    page_of,
    read_log,
    run_text,
    send,
    without_ticks,
)
from tests.findings.story import open_job
from vessels.actions import retract
from vessels.models import LogEntry, Vessel

END = BEGIN + timedelta(seconds=5, milliseconds=504)
NOTHING = "(1777906800.000000) can0 1DF11223#FF1020FF7FFF7FFD\n"


pytestmark = pytest.mark.usefixtures("can_log_world")


def proven():
    """The log's own chain, and the faults, agree with what is stored."""
    out = io.StringIO()
    call_command("verify_log", stdout=out)
    return "every digest agrees" in out.getvalue()


def test_scans_and_readings_are_logged_with_the_files_digest(tech, log, cast, job):
    answer = send(tech, log, answers_of(page_of(tech, log), text="Run at the dock", instrument="Recorder"))
    assert (answer.status_code, answer["Location"]) == (302, f"/jobs/{job.number}/findings/")
    scan = Scan.objects.get()
    assert (scan.unit, scan.source, scan.is_complete, scan.phase) == (cast.port_unit, "can-log", False, "arrival")
    assert (scan.file_sha256, log.sha256 in scan.raw, scan.not_understood) == (log.sha256, True, 6)
    assert (scan.entry.happened_at, scan.entry.engine_hours) == (END, Decimal("1204.5"))
    assert sorted(str(row) for row in scan.sightings.all()) == [
        "SPN 110 FMI 0 active",
        "Status: engine over temperature stored",
    ]
    oil = Reading.objects.get(parameter__name="Oil pressure", entry__engine=cast.port)
    assert (oil.minimum, oil.maximum, oil.unit) == (Decimal("29.0"), Decimal("45.0"), "psi")
    assert oil.minimum < oil.value < oil.maximum
    assert (oil.file_sha256, oil.entry.happened_at, oil.entry.job) == (log.sha256, END, job)
    assert oil.entry.text.startswith("Run at the dock\nThe median value of the CAN log trip.log.")
    assert "first 29 psi, last 45 psi" in oil.entry.text
    assert Reading.objects.get(parameter__name="Battery voltage").entry.engine is None
    assert proven()
    assert stale_faults(cast.port_unit.pk) == []


def test_which_value_is_logged_is_the_technicians_choice(tech, log, cast):
    assert send(tech, log, answers_of(page_of(tech, log), which="last")).status_code == 302
    assert Reading.objects.get(parameter__name="Oil pressure", entry__engine=cast.port).value == Decimal("45.0")


def test_only_what_is_ticked_is_logged(tech, log):
    page = page_of(tech, log)
    sent = {name: value for name, value in answers_of(page).items() if not name.endswith("-take")}
    one = next(row for row in page.context["values"] if row.heard.named.parameter == "Charging voltage")
    assert send(tech, log, sent | {f"{one.heard.key}-take": "yes"}).status_code == 302
    assert (Scan.objects.count(), Reading.objects.count()) == (0, 1)
    assert Reading.objects.get().value == Decimal("13.9")


@pytest.mark.parametrize(
    ("take", "extent", "asked"), [(True, "all", False), (False, "all", True), (False, "some", False)]
)
def test_a_code_left_out_of_a_log_that_is_everything_is_asked_about(tech, log, take, extent, asked):
    page = page_of(tech, log)
    sent = answers_of(page, extent=extent)
    for row in [*page.context["codes"], *page.context["statuses_heard"]]:
        if not take or row.heard.code is None:
            sent.pop(f"{row.heard.key}-take", None)
        else:
            sent[f"{row.heard.key}-take"] = "yes"
    answer = send(tech, log, sent)
    if not asked:
        assert answer.status_code == 302
        return
    (said,) = answer.context["form"].errors["extent"]
    assert said == (
        "SPN 110 FMI 0 and Status: engine over temperature are in the log and not selected. Other codes of "
        "the same kind would count as gone. Choose “some of it” unless you are sure. "
        "To keep it, select it at the top and send this again."
    )
    assert not Scan.objects.exists()
    again = re.findall(r'name="asked"\s+value="([^"]*)"', answer.content.decode())
    assert send(tech, log, {**sent, "asked": again}).status_code == 302
    assert all(scan.is_complete for scan in Scan.objects.all())


def test_a_log_with_messages_cut_short_is_not_logged_as_everything(tech, cast, job):
    lines = run_text(status=OVER_TEMPERATURE).splitlines(keepends=True)
    end = lines[-1].split(")")[0]
    cut = f"{end}) can0 1CECFF00#20120003FFCAFE00\n"  # BAM: a DM1 of 18 bytes, and none of its packets
    log = read_log(cast, job, "".join([*lines, cut, f"{end}) can0 1CEBFF00#0104FF6E00000183\n"]))
    sent = answers_of(page_of(tech, log), extent="all")
    answer = send(tech, log, sent)
    assert "1 message of active codes (DM1) was incomplete and could not be read" in answer.content.decode()
    assert not Scan.objects.exists()


def test_nothing_ticked_is_said(tech, log):
    sent = {name: value for name, value in answers_of(page_of(tech, log)).items() if not name.endswith("-take")}
    answer = send(tech, log, sent)
    assert (answer.status_code, "Nothing is selected yet" in answer.content.decode()) == (422, True)


def test_the_same_confirm_sent_twice_is_logged_once(tech, log):
    sent = answers_of(page_of(tech, log))
    assert [send(tech, log, sent).status_code for _ in range(2)] == [302, 302]
    assert (Scan.objects.count(), Reading.objects.count()) == (1, 8)


def test_another_confirm_of_the_same_log_is_refused_and_said(tech, log):
    first = answers_of(page_of(tech, log))
    second = first | {"entry_id": str(uuid.uuid4())}
    send(tech, log, first)
    answer = send(tech, log, second)
    assert answer.status_code == 422
    assert "already logged from this file" in answer.content.decode()
    assert (Scan.objects.count(), Reading.objects.count()) == (1, 8)
    page = page_of(tech, log)
    assert "Logged on this job" in page.content.decode()
    assert not any(row.is_taken for row in [*page.context["codes"], *page.context["values"]])


def test_a_value_twice_is_refused_even_where_its_scan_is_left_out(tech, log):
    sent = answers_of(page_of(tech, log))
    send(tech, log, sent)
    without_codes = {
        name: value for name, value in sent.items() if not re.fullmatch(r"(code|status)-\d+-take", name)
    } | {"entry_id": str(uuid.uuid4())}
    answer = send(tech, log, without_codes)
    assert answer.status_code == 422
    assert "Oil pressure: This is already logged from this file" in answer.content.decode()


def test_what_was_taken_back_can_be_logged_again(tech, log, cast):
    wrong = answers_of(page_of(tech, log))
    send(tech, log, wrong)
    for entry in LogEntry.objects.filter(kind__in=["scan", "reading"]):
        retract(by=cast.tech, entry=entry, reason="Engines mixed up", entry_id=None)
    page = page_of(tech, log)
    assert "Logged on this job" not in page.content.decode()
    right = answers_of(
        page, to_0=f"unit-{cast.starboard_unit.pk}", to_1=f"unit-{cast.starboard_unit.pk}",
        to_2=f"unit-{cast.port_unit.pk}", to_3=f"unit-{cast.port_unit.pk}",
        **{f"hours_{cast.port.pk}": "", f"hours_{cast.starboard.pk}": ""},
    )  # fmt: skip
    assert send(tech, log, right).status_code == 302
    assert Scan.objects.filter(unit=cast.starboard_unit).count() == 1
    assert proven()


def test_codes_of_a_sender_without_a_unit_are_refused_beside_the_choice(tech, log, cast):
    answer = send(tech, log, answers_of(page_of(tech, log), to_0=f"engine-{cast.port.pk}"))
    assert answer.status_code == 422
    assert "choose one, or deselect the codes" in answer.context["form"].errors["to_0"][0]
    assert answer.context["codes"][0].is_taken
    assert not LogEntry.objects.filter(kind__in=["scan", "reading"]).exists()


def test_ticks_of_a_sender_that_is_left_out_are_refused_beside_the_choice(tech, log):
    sent = answers_of(page_of(tech, log), to_0="", to_1="")
    answer = send(tech, log, sent)
    errors = answer.context["form"].errors
    assert (answer.status_code, set(errors)) == (422, {"to_0", "to_1"})
    assert errors["to_0"] == ["1 selected code from address 0 on can0: choose where it belongs, or deselect them."]
    assert "1 selected code and 3 selected values from address 0 on can0, engine 0" in errors["to_1"][0]
    assert {f"{row.heard.key}-take" for row in answer.context["values"] if row.is_taken} <= set(sent)
    assert answer.context["codes"][0].is_taken
    assert not LogEntry.objects.filter(kind__in=["scan", "reading"]).exists()


def test_a_sender_that_is_left_out_logs_nothing_and_that_is_said(tech, log, cast):
    page = page_of(tech, log)
    sent = without_ticks(page, answers_of(page, to_0="", to_1=""), 0)
    answer = tech.post(reverse("findings:can_log", args=[log.job.number, log.pk]), sent, follow=True)
    assert "Left out: 1 code from address 0 on can0; 1 code and 4 values from address 0" in answer.content.decode()
    assert not Scan.objects.exists()
    assert not Reading.objects.filter(entry__engine=cast.port).exists()


def test_everything_makes_units_without_codes_complete(tech, log, cast):
    assert send(tech, log, answers_of(page_of(tech, log), extent="all")).status_code == 302
    scans = {scan.unit: (scan.is_complete, scan.sightings.count(), scan.source) for scan in Scan.objects.all()}
    assert scans == {cast.port_unit: (True, 2, "can-log"), cast.starboard_unit: (True, 0, "can-log")}


def test_impossible_hours_stand_at_their_engine_and_lose_nothing(tech, log, cast):
    name = f"hours_{cast.port.pk}"
    answer = send(tech, log, answers_of(page_of(tech, log), **{name: "a lot"}))
    assert (answer.status_code, name in answer.context["form"].errors) == (422, True)
    send(tech, log, answers_of(page_of(tech, log)))
    later = can_logs.read_log(cast, open_job(cast), run_text(14))
    answer = send(tech, later, answers_of(page_of(tech, later), **{name: "12"}))
    assert (answer.status_code, name in answer.context["form"].errors) == (422, True)
    assert answer.context["form"][name].value() == "12"
    assert all(row.is_taken for row in answer.context["codes"])


def test_a_condition_finds_the_limit_of_the_card(tech, log, cast):
    from findings.readings.actions import NewLimit, add_card
    from findings.readings.models import Parameter

    add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Norrland D6T manual, ed. 4, p. 112",
        limits=[
            NewLimit(
                parameter=Parameter.objects.get(name="Oil pressure"),
                unit="psi",
                condition="warm, idle",
                low=Decimal(40),
            )
        ],
    )  # fmt: skip
    sent = answers_of(page_of(tech, log), **{f"condition_{cast.port.pk}": "warm,  idle"})
    assert send(tech, log, sent).status_code == 302
    oil = Reading.objects.get(parameter__name="Oil pressure", entry__engine=cast.port)
    assert (oil.condition, oil.verdict, oil.low) == ("warm, idle", "out", Decimal(40))


@pytest.mark.parametrize(
    ("start", "says"),
    [
        (datetime(1970, 1, 1, 0, 5, tzinfo=UTC), "probably never set"),
        (datetime(2031, 1, 1, tzinfo=UTC), "in the future"),
    ],
)
def test_a_clock_that_cannot_be_is_not_believed(tech, cast, job, start, says):
    log = can_logs.read_log(cast, job, run_text(start=start))
    page = page_of(tech, log)
    assert says in page.content.decode() or "has no date" in page.content.decode()
    refused = send(tech, log, answers_of(page))
    assert (refused.status_code, refused.context["form"].errors["happened_at"]) == (
        422,
        ["Say when the log was recorded."],
    )
    assert send(tech, log, answers_of(page, happened_at="2026-05-04T09:30")).status_code == 302
    shop_zone = Scan.objects.get().entry.happened_at
    assert shop_zone.minute == 30


def test_a_time_without_a_zone_is_the_shops_and_said(tech, cast, job):
    lines = ["date Mon May 4 03:00:00.000 pm 2026", "base hex timestamps absolute"]
    for line in run_text(code=None).splitlines():
        at, _, frame = line.split()
        number, data = frame.split("#")
        octets = " ".join(data[one : one + 2] for one in range(0, 16, 2))
        lines.append(f"   {float(at[1:-1]) - BEGIN.timestamp():.6f} 1  {number}x  Rx   d 8 {octets}")
    log = can_logs.read_log(cast, job, "\n".join(lines) + "\n", name="trip.asc")
    page = page_of(tech, log)
    assert "The file names no zone: taken as the shop&#x27;s time." in page.content.decode().replace("'", "&#x27;")
    assert page.context["form"]["happened_at"].value() == "2026-05-04T15:00"
    assert send(tech, log, answers_of(page)).status_code == 302
    assert Reading.objects.first().entry.happened_at.replace(microsecond=0) == END.replace(hour=19, microsecond=0)


@pytest.mark.parametrize(("days", "says"), [(366, "366 days before the job was opened"), (-1, "")])
def test_a_log_from_before_the_job_is_said(tech, log, job, days, says):
    job.opened_at = END + timedelta(days=days, hours=1)
    job.save(update_fields=["opened_at"])
    words = page_of(tech, log).context["form"].fields["happened_at"].help_text
    assert ("before the job was opened" in words, says in words) == (bool(says), True)


def test_a_log_of_long_before_the_job_is_asked_about_once(tech, log, job):
    job.opened_at = END + timedelta(days=9)
    job.save(update_fields=["opened_at"])
    sent = answers_of(page_of(tech, log))
    asked = send(tech, log, sent)
    assert (asked.status_code, Scan.objects.count()) == (422, 0)
    (said,) = asked.context["form"].errors["happened_at"]
    assert "is 9 days before the job was opened. To keep it, select it at the top" in said
    key = re.search(r'name="asked"[^>]*value="([^"]+)"', asked.content.decode())[1]
    assert send(tech, log, {**sent, "asked": key}).status_code == 302


def test_another_time_than_the_logs_own_is_taken_as_written(tech, log):
    assert send(tech, log, answers_of(page_of(tech, log), happened_at="2026-05-03T08:00")).status_code == 302
    assert Scan.objects.get().entry.happened_at.date().isoformat() == "2026-05-03"


def log_run(client, cast, *, status, extent="some", start=BEGIN, **more):
    log = can_logs.read_log(cast, open_job(cast), run_text(status=status, start=start, code=None))
    return send(client, log, answers_of(page_of(client, log), extent=extent, **more))


def test_a_status_bit_that_is_off_in_a_complete_log_is_gone_and_comes_back(tech, cast, job):
    log_run(tech, cast, status=OVER_TEMPERATURE)
    bit = Fault.objects.get(system="status", unit=cast.port_unit)
    assert (bit.code, bit.state) == ("engine-over-temperature", "stored")
    log_run(tech, cast, status=0, extent="all", start=BEGIN + timedelta(hours=2))
    bit.refresh_from_db()
    assert bit.state == "historic"
    log_run(tech, cast, status=OVER_TEMPERATURE, start=BEGIN + timedelta(hours=4))
    bit.refresh_from_db()
    assert (bit.state, bit.episodes) == ("returned", 2)
    assert tech.get(reverse("findings:fault", args=[bit.pk])).status_code == 200


def test_an_instruments_complete_scan_says_nothing_of_a_status_bit(tech, cast, job):
    from findings.faults.actions import log_scan

    log_run(tech, cast, status=OVER_TEMPERATURE)
    log_scan(
        by=cast.tech, unit=cast.port_unit, phase="after-repair", is_complete=True, codes=[], job=job,
        happened_at=BEGIN + timedelta(hours=1),
    )  # fmt: skip
    assert Fault.objects.get(system="status").state == "stored"
    page = tech.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "Status: engine over temperature" not in page or "gone" not in page


def test_a_log_of_status_bits_alone_says_nothing_of_codes(tech, cast, job):
    from tests.findings.story import COOLANT, scan, seen

    scan(cast, 0, 1000, [seen(COOLANT)], job=job)
    without_dm = "".join(line for line in run_text(status=PREHEAT).splitlines(keepends=True) if "FECA" not in line)
    log = can_logs.read_log(cast, job, without_dm)
    page = page_of(tech, log)
    assert [row.is_taken for row in page.context["statuses_heard"]] == [False]  # preheating is no fault
    assert send(tech, log, answers_of(page, extent="all")).status_code == 302
    made = Scan.objects.get(unit=cast.port_unit, file_sha256=log.sha256)
    assert (made.source, made.is_complete) == ("can-bits", True)
    assert Fault.objects.get(system="spn").state == "active"


def test_a_scan_of_a_log_can_be_corrected_by_hand(tech, log, job):
    send(tech, log, answers_of(page_of(tech, log)))
    scan = Scan.objects.get()
    page = tech.get(reverse("findings:scan", args=[job.number]), {"corrects": str(scan.pk)})
    assert page.status_code == 200
    assert "Status: engine over temperature" in page.content.decode()


def test_a_file_that_is_logged_on_another_job_of_the_boat_is_said_and_not_logged_twice(tech, log, cast, job):
    assert send(tech, log, answers_of(page_of(tech, log))).status_code == 302
    again = read_log(cast, open_job(cast), run_text(status=OVER_TEMPERATURE))
    assert again.sha256 == log.sha256
    page = page_of(tech, again)
    body = " ".join(page.content.decode().split())
    assert "This file is already in this boat’s log" in body
    assert f">job {job.number}</a>, May 4, 2026." in body
    assert "1 scan and 8 readings from this file are logged on" in body
    assert "Logged on this job" not in body
    rows = [*page.context["codes"], *page.context["statuses_heard"], *page.context["values"]]
    assert not any(row.is_taken for row in rows)
    sent = answers_of(page)
    for row in (one for one in rows if one.is_logged):
        refused = send(tech, again, sent | {f"{row.heard.key}-take": "yes"})
        assert refused.status_code == 422, row.heard
        assert f"already logged from this file on job {job.number}, May 4, 2026" in refused.content.decode()
    assert (Scan.objects.count(), Reading.objects.count()) == (1, 8)
    assert tech.post(reverse("findings:can_log_discard", args=[again.job.number, again.pk])).status_code == 302


def test_a_file_of_another_job_is_logged_where_nothing_of_it_counts_any_more(tech, log, cast):
    send(tech, log, answers_of(page_of(tech, log)))
    for entry in LogEntry.objects.filter(kind__in=["scan", "reading"]):
        retract(by=cast.tech, entry=entry, reason="On the wrong job", entry_id=None)
    again = read_log(cast, open_job(cast), run_text(status=OVER_TEMPERATURE))
    page = page_of(tech, again)
    assert "already in this boat" not in page.content.decode()
    assert send(tech, again, answers_of(page)).status_code == 302


def test_a_file_of_another_boat_is_another_matter(tech, log, cast):
    send(tech, log, answers_of(page_of(tech, log)))
    job = open_job(cast)
    job.vessel = Vessel.objects.create(name="Heron", kind=cast.vessel.kind, owner=cast.vessel.owner)
    job.save()
    again = read_log(cast, job, run_text(status=OVER_TEMPERATURE))
    assert again.sha256 == log.sha256
    page = page_of(tech, again)
    assert "already in this boat" not in page.content.decode()
    assert any(row.is_taken for row in page.context["values"])
