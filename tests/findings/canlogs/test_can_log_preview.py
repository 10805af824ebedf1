"""What was read of a CAN log is looked through before anything is logged."""

from __future__ import annotations

import gzip
import io
from datetime import timedelta
from decimal import Decimal

import can
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from engineering.canlog import from_json
from findings.canlogs.unpacking import Unpacked
from findings.faults.models import Scan
from findings.readings.models import Reading
from tests.findings.canlogs import samples as can_logs
from tests.findings.canlogs.samples import (
    BEGIN,
    answers_of,
    page_of,
    run_text,
    send,
    without_ticks,
)
from tests.findings.story import open_job

END = BEGIN + timedelta(seconds=5, milliseconds=504)
NOTHING = "(1777906800.000000) can0 1DF11223#FF1020FF7FFF7FFD\n"


pytestmark = pytest.mark.usefixtures("can_log_world")


def test_the_preview_shows_what_was_understood_and_writes_nothing(tech, log, cast):
    page = page_of(tech, log)
    codes, bits, values = (page.context[name] for name in ("codes", "statuses_heard", "values"))
    assert [(row.heard.label, row.status, row.heard.count, row.is_taken) for row in codes] == [
        ("SPN 110 FMI 0", "active", 3, True)
    ]
    assert [(row.heard.label, row.status, row.is_taken) for row in bits] == [
        ("Status: engine over temperature", "stored", True)
    ]
    oil = next(row for row in values if row.heard.named.parameter == "Oil pressure" and row.heard.sender.source == 0)
    assert (oil.heard.unit, oil.heard.first, oil.heard.last) == ("psi", Decimal("29.0"), Decimal("45.0"))
    assert {row.heard.named.condition for row in values if "Battery" in row.heard.named.parameter} == {"battery 0"}
    body = page.content.decode()
    assert "amber warning lamp" in body
    assert "PGN 127250" in body
    assert page.context["understood"].not_decoded == 6
    assert not Scan.objects.exists()
    assert not Reading.objects.exists()


def test_each_sender_is_given_to_the_unit_with_its_address(tech, log, cast):
    form = page_of(tech, log).context["form"]
    given = {field.label: field.initial for name, field in form.fields.items() if name.startswith("to_")}
    port, starboard = f"unit-{cast.port_unit.pk}", f"unit-{cast.starboard_unit.pk}"
    assert given == {
        "Address 0 on can0 belongs to": port,
        "Address 0 on can0, engine 0 belongs to": port,
        "Address 1 on can0 belongs to": starboard,
        "Address 1 on can0, engine 1 belongs to": starboard,
        "Address 60 on can0, batteries, tanks and places belongs to": "boat",
    }


def test_a_gateway_that_speaks_of_both_engines_is_told_apart_by_their_numbers(tech, cast, job):
    cast.port_unit.address = cast.starboard_unit.address = None
    cast.port_unit.save()
    cast.starboard_unit.save()
    text = run_text(code=None).replace("01#", "00#")
    log = can_logs.read_log(cast, job, text)
    form = page_of(tech, log).context["form"]
    given = {field.label: field.initial for name, field in form.fields.items() if name.startswith("to_")}
    assert given["Address 0 on can0, engine 0 belongs to"] == f"unit-{cast.port_unit.pk}"
    assert given["Address 0 on can0, engine 1 belongs to"] == f"unit-{cast.starboard_unit.pk}"
    assert given["Address 0 on can0 belongs to"] == ""


def test_the_only_unit_of_a_boat_gets_the_first_engines_address_and_no_other(tech, cast, job):
    cast.vessel.units.filter(pk=cast.starboard_unit.pk).update(removed_on=timezone.now().date())
    cast.vessel.units.update(address=None)
    log = can_logs.read_log(cast, job)
    form = page_of(tech, log).context["form"]
    given = {field.label: field.initial for name, field in form.fields.items() if name.startswith("to_")}
    assert given["Address 0 on can0 belongs to"] == f"unit-{cast.port_unit.pk}"
    assert given["Address 1 on can0 belongs to"] == ""


def test_a_choice_is_remembered_for_the_next_log_of_the_boat(tech, cast, job, log):
    page = page_of(tech, log)
    swapped = answers_of(page, to_1=f"unit-{cast.starboard_unit.pk}", to_3="")
    assert send(tech, log, without_ticks(page, swapped, 1)).status_code == 302
    later = can_logs.read_log(cast, open_job(cast), run_text(14))
    form = page_of(tech, later).context["form"]
    assert (form.fields["to_1"].initial, form.fields["to_3"].initial) == (f"unit-{cast.starboard_unit.pk}", "")


def test_the_units_own_hours_are_offered(tech, log, cast):
    page = page_of(tech, log)
    assert page.context["form"][f"hours_{cast.port.pk}"].value() == "1204.5"
    assert "Read from the log: the unit itself counts 1,199.2 h at its end." in page.content.decode()


@pytest.mark.parametrize(("known", "says"), [("12", "more than have passed since"), ("3000", "is less")])
def test_hours_of_a_unit_that_cannot_be_are_not_filled_in_and_that_is_said(tech, log, cast, job, known, says):
    first = can_logs.read_log(cast, job, run_text(14, start=BEGIN - timedelta(days=3)))
    name = f"hours_{cast.port.pk}"
    assert send(tech, first, answers_of(page_of(tech, first), **{name: known})).status_code == 302
    later = can_logs.read_log(cast, open_job(cast), run_text())
    form = page_of(tech, later).context["form"]
    assert form[name].value() == ""
    assert says in form.fields[name].help_text
    assert (
        "The unit itself counts 1,204.5 h at the end of the log. That is not filled in." in form.fields[name].help_text
    )


def test_what_moved_much_over_the_log_is_not_ticked_and_why_is_said(tech, log):
    values = page_of(tech, log).context["values"]
    speed = next(row for row in values if row.heard.named.parameter == "Engine speed")
    oil = next(row for row in values if row.heard.named.parameter == "Oil pressure")
    assert (speed.is_taken, speed.remark[:28], speed.is_logged) == (False, "It moved much over the log: ", False)
    assert (oil.is_taken, oil.remark) == (True, "")


def test_damage_is_said_and_what_was_readable_is_shown(tech, cast, job):
    lines = run_text().splitlines(keepends=True)
    lines[20] = "(17779068\x00\x01 garbage\n"
    damaged = "".join(lines) + "(1777906805.99"
    log = can_logs.read_log(cast, job, damaged)
    page = page_of(tech, log)
    body = page.content.decode()
    assert "The file is damaged" in body
    assert page.context["codes"]
    assert page.context["summary"].damages
    assert send(tech, log, answers_of(page)).status_code == 302
    assert "Damage: " in Scan.objects.get().raw


def test_a_truncated_gzip_is_read_as_far_as_it_goes(tech, cast, job):
    packed = gzip.compress(run_text(400).encode())
    log = can_logs.read_log(cast, job, packed[: len(packed) * 2 // 3], name="trip.log.gz")
    assert log.state == "read"
    page = page_of(tech, log)
    assert page.context["summary"].damages
    assert 0 < page.context["summary"].frames < 400 * 10


def test_a_damaged_gzip_gives_what_comes_before_the_damage(tmp_path):
    text = run_text(4000).encode()
    packed = bytearray(gzip.compress(text[: len(text) // 2]) + gzip.compress(text[len(text) // 2 :]))
    half = len(gzip.compress(text[: len(text) // 2]))
    packed[half + 2000 : half + 2010] = b"\xff" * 10
    unpacked = Unpacked(io.BytesIO(bytes(packed)))
    got = unpacked.read()
    assert len(text) // 2 < len(got) < len(text)
    assert text.startswith(got[: len(text) // 2 + 1000])
    assert unpacked.damage.kind == "gzip-broken"


@pytest.mark.parametrize("size", [1, 7, 4096, 1 << 20])
def test_a_whole_gzip_comes_out_as_it_went_in(size):
    text = run_text(60).encode()
    unpacked = Unpacked(io.BytesIO(gzip.compress(text) + gzip.compress(b"more") + b"\0" * 512))
    assert b"".join(iter(lambda: unpacked.read(size), b"")) == text + b"more"
    assert unpacked.damage is None


@pytest.mark.parametrize("ending", ["asc", "blf", "trc", "log"])
@pytest.mark.parametrize("is_packed", [False, True])
def test_every_kind_of_log_is_read(cast, job, tmp_path, ending, is_packed):
    path = tmp_path / f"trip.{ending}"
    _written_by_the_library(path)
    content = gzip.compress(path.read_bytes()) if is_packed else path.read_bytes()
    log = can_logs.read_log(cast, job, content, name=path.name)
    assert log.state == "read", log.problem
    summary = from_json(log.summary)
    oil = [one for one in summary.parameters if one.key == "engine-oil-pressure"]
    assert [(one.source, one.count, one.last) for one in oil] == [(0, 12, Decimal(310)), (1, 12, Decimal(330))]


def _written_by_the_library(path):
    with can.Logger(path) as writer:
        for line in run_text().splitlines():
            at, _, frame = line.split()
            number, data = frame.split("#")
            writer(
                can.Message(
                    timestamp=float(at[1:-1]), arbitration_id=int(number, 16), data=bytes.fromhex(data), channel=0
                )
            )


def test_a_log_without_anything_for_us_says_so(tech, cast, job):
    log = can_logs.read_log(cast, job, NOTHING * 30)
    page = page_of(tech, log)
    assert "Nothing to log was found" in page.content.decode()
    assert page.context["understood"].not_decoded == 30


def test_a_boat_without_units_can_log_values_and_is_told_about_codes(tech, cast, job, log):
    cast.vessel.units.update(removed_on=timezone.now().date())
    page = page_of(tech, log)
    assert "No control unit is aboard by the records" in page.content.decode()
    assert not any(row.is_taken for row in [*page.context["codes"], *page.context["statuses_heard"]])
    form = page.context["form"]
    port, starboard = f"engine-{cast.port.pk}", f"engine-{cast.starboard.pk}"
    assert (form.fields["to_1"].initial, form.fields["to_3"].initial) == (port, starboard)
    refused = send(tech, log, answers_of(page, phase=""))
    assert refused.context["form"].errors["phase"] == ["Say when in the job the log was recorded."]
    assert send(tech, log, answers_of(page, phase="arrival")).status_code == 302
    assert (Scan.objects.count(), Reading.objects.filter(entry__engine=cast.port).count()) == (0, 3)


def test_the_phase_is_arrival_before_work_or_left_to_choose(tech, log, cast, job):
    assert page_of(tech, log).context["form"]["phase"].value() == "arrival"
    send(tech, log, answers_of(page_of(tech, log)))
    assert page_of(tech, log).context["form"]["phase"].value() == "arrival"
    type(job).objects.filter(pk=job.pk).update(state="sea-trial")
    assert page_of(tech, log).context["form"]["phase"].value() == ""


def queries_of(client, address):
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_the_number_of_queries_does_not_grow_with_logs_senders_or_what_is_logged(tech, cast, job, log):
    logs = reverse("findings:can_logs", args=[job.number])
    queries_of(tech, logs)
    one = queries_of(tech, logs)
    text = run_text()
    crowd = "".join(text.replace("00#", f"{source:02X}#") for source in range(0x40, 0x50))
    crowded = can_logs.read_log(cast, job, text + crowd)
    for count in range(13, 18):
        can_logs.read_log(cast, job, run_text(count))
    assert queries_of(tech, logs) == one
    few, many = (reverse("findings:can_log", args=[job.number, each.pk]) for each in (log, crowded))
    at_first = queries_of(tech, few)
    assert len(page_of(tech, crowded).context["senders"]) > 5 * len(page_of(tech, log).context["senders"])
    assert queries_of(tech, many) == at_first
    assert send(tech, log, answers_of(page_of(tech, log))).status_code == 302
    after_one = queries_of(tech, few)
    crowd_page = page_of(tech, crowded)
    ticks = {f"{row.heard.key}-take": "yes" for row in crowd_page.context["values"] if row.heard.sender.source < 2}
    crowd_sent = without_ticks(crowd_page, answers_of(crowd_page, **ticks), *range(0x40, 0x50))
    assert send(tech, crowded, crowd_sent).status_code == 302
    assert queries_of(tech, many) == queries_of(tech, few) == after_one


def test_a_packed_file_that_grows_beyond_all_measure_is_not_read_on() -> None:
    packed = gzip.compress(b"\0" * 200 * 1024 * 1024, compresslevel=1)
    unpacked = Unpacked(io.BytesIO(packed))
    had = 0
    while piece := unpacked.read(1024 * 1024):
        had += len(piece)
    assert unpacked.damage is not None
    assert unpacked.damage.kind == "gzip-too-much"
    assert 60 < had / 1024**2 < 130
    honest = Unpacked(io.BytesIO(gzip.compress(run_text().encode() * 2000)))
    assert len(honest.read()) == len(run_text().encode()) * 2000
    assert honest.damage is None
