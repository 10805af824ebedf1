"""The shop's own instruments: what a finding keeps of the one it was made with, and what is said of its calibration."""

from __future__ import annotations

import uuid
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Conflict, Refused
from engineering.measures import Kind
from findings.faults.models import Scan
from findings.instruments.actions import add_calibration, add_instrument, change_instrument, strike_calibration
from findings.instruments.measuring import cannot_measure
from findings.instruments.models import Calibration, Instrument
from findings.instruments.queries import made_with
from findings.instruments.wording import calibration_words, instrument_words
from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.queries import instrument_remark
from findings.readings.trending import readings_kept
from staff.queries import shop_profile
from tests.cast import Cast
from tests.findings import story
from vessels.log.chain import row_facts
from vessels.log.verify import broken_link
from vessels.models import LogEntry
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("America/New_York")
MADE, DUE = date(2025, 3, 3), date(2026, 3, 3)


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil pressure drops at idle"])


@pytest.fixture
def gauge(cast: Cast) -> Instrument:
    return add_instrument(
        by=cast.manager, kind="Pressure gauge", make="Tidewell T4", serial="1182", calibrated_on=MADE, due_on=DUE
    )


def measure(cast: Cast, day: date, **more: object) -> Reading:
    told = {
        "by": cast.tech,
        "vessel": cast.vessel,
        "engine": cast.port,
        "parameter": Parameter.objects.get(name="Oil pressure"),
        "value": Decimal("44"),
        "unit": "psi",
        "happened_at": datetime(day.year, day.month, day.day, 11, 0, tzinfo=ZONE),
        **more,
    }
    return log_reading(**told)  # type: ignore[arg-type]


def said(reading: Reading) -> tuple[str, str, bool]:
    found = made_with(reading, reading.entry.happened_at)
    return found.words, found.calibration, found.is_out


# What is said of a calibration.


@pytest.mark.parametrize(
    ("calibrated_on", "until", "day", "words"),
    [
        (MADE, DUE, date(2025, 6, 1), "calibrated until Mar 3, 2026"),
        (MADE, DUE, MADE, "calibrated until Mar 3, 2026"),
        (MADE, DUE, DUE, "calibrated until Mar 3, 2026"),
        (MADE, DUE, date(2026, 3, 4), "out of calibration (was due Mar 3, 2026)"),
        (MADE, DUE, date(2031, 1, 1), "out of calibration (was due Mar 3, 2026)"),
        (MADE, None, date(2031, 1, 1), "calibrated Mar 3, 2025, no due date on record"),
        (None, DUE, date(2025, 6, 1), "calibrated until Mar 3, 2026"),
        (None, None, date(2025, 6, 1), "calibration not on record"),
    ],
)
def test_what_is_said_of_a_calibration(calibrated_on, until, day, words):
    assert calibration_words(calibrated_on, until, day) == words


@pytest.mark.parametrize(
    ("registered", "typed", "words"),
    [
        ("Pressure gauge, Tidewell T4", "", "Pressure gauge, Tidewell T4"),
        ("", "Gauge G-12", "Gauge G-12"),
        ("Pressure gauge", "with the long hose", "Pressure gauge (with the long hose)"),
        ("Pressure gauge", "PRESSURE GAUGE", "Pressure gauge"),
        ("", "", ""),
    ],
)
def test_what_was_typed_stays_beside_the_register(registered, typed, words):
    assert instrument_words(registered, typed) == words


# What a finding keeps.


def test_a_reading_keeps_the_instrument_as_it_stood(cast, gauge):
    reading = measure(cast, date(2025, 6, 1), registered=gauge, instrument="long hose")
    assert (reading.instrument, reading.registered_as) == ("long hose", "Pressure gauge, Tidewell T4")
    change_instrument(
        by=cast.manager, instrument=gauge, seen_version=1, changes={"kind": "Test gauge", "serial": "9999"}
    )
    add_calibration(by=cast.manager, instrument=gauge, calibrated_on=date(2025, 7, 1), due_on=date(2027, 7, 1))
    kept = Reading.objects.get(pk=reading.pk)
    assert said(kept) == (
        "Pressure gauge, Tidewell T4 (long hose), serial 1182",
        "calibrated until Mar 3, 2026",
        False,
    )
    assert broken_link(cast.vessel) is None


def test_out_of_calibration_is_said_and_never_refused(cast, gauge):
    reading = measure(cast, date(2026, 3, 4), registered=gauge)
    assert said(reading)[1:] == ("out of calibration (was due Mar 3, 2026)", True)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2024, 1, 1), "calibration not on record"),
        (date(2025, 3, 2), "calibration not on record"),
        (date(2025, 3, 3), "calibrated until Mar 3, 2026"),
        (date(2026, 4, 9), "out of calibration (was due Mar 3, 2026)"),
        (date(2026, 4, 10), "calibrated until Apr 10, 2027"),
    ],
)
def test_a_reading_written_down_later_has_the_calibration_of_its_day(cast, gauge, day, words):
    """The register of today knows a newer calibration: it says nothing of the days before it."""
    add_calibration(by=cast.manager, instrument=gauge, calibrated_on=date(2026, 4, 10), due_on=date(2027, 4, 10))
    assert said(measure(cast, day, registered=gauge))[1] == words


def test_the_day_is_the_shops_own(cast, gauge):
    """Late in the evening of the day that it is due it still holds, though it is the next day in London."""
    shop = shop_profile()
    shop.time_zone = str(ZONE)
    shop.save()
    again = add_calibration(by=cast.manager, instrument=gauge, calibrated_on=date(2026, 3, 4))
    evening = datetime(2026, 3, 3, 22, 30, tzinfo=ZONE)
    reading = measure(cast, DUE, registered=gauge, happened_at=evening)
    with timezone.override(ZONE):
        assert said(reading)[1] == "calibrated until Mar 3, 2026"
    assert reading.calibrated_on < again.calibrated_on


def test_a_voided_calibration_counts_no_more(cast, gauge):
    wrong = add_calibration(by=cast.manager, instrument=gauge, calibrated_on=date(2025, 5, 1), due_on=date(2030, 5, 1))
    strike_calibration(by=cast.manager, calibration=wrong)
    assert said(measure(cast, date(2026, 6, 1), registered=gauge))[1].startswith("out of calibration")
    assert Calibration.objects.get(pk=wrong.pk).struck_by == cast.manager


def test_a_typed_instrument_says_nothing_of_a_calibration(cast):
    assert said(measure(cast, date(2025, 6, 1), instrument="Gauge G-12")) == ("Gauge G-12", "", False)


def test_older_entries_keep_their_digest(cast, gauge):
    """What was not chosen stays out of the digest, so that entries of before the register prove true."""
    plain = measure(cast, date(2025, 6, 1), instrument="Gauge G-12")
    chosen = measure(cast, date(2025, 6, 2), registered=gauge)
    scan = story.scan(cast, 90, None, [story.seen(story.OIL)], instrument="Reader R2")
    new = {"registered_id", "registered_as", "instrument_serial", "calibrated_on", "calibrated_until"}
    assert not new & set(row_facts(Reading.objects.get(pk=plain.pk)))
    assert not new & set(row_facts(Scan.objects.get(pk=scan.pk)))
    assert new <= set(row_facts(Reading.objects.get(pk=chosen.pk)))
    assert broken_link(cast.vessel) is None


def test_an_instrument_is_who_it_is_in_a_trend_whatever_was_typed(cast, gauge):
    for index, typed in enumerate(["", "long hose", "", "short hose", ""]):
        measure(cast, date(2025, 6, 1 + index), registered=gauge, instrument=typed, engine_hours=Decimal(index * 10))
    other = measure(cast, date(2025, 6, 20), instrument="Pressure gauge, Tidewell T4", engine_hours=Decimal(90))
    found = Reading.objects.filter(parameter=other.parameter).order_by("-entry__happened_at")
    assert readings_kept(found, cast.port).by_another == 5
    assert readings_kept(found.exclude(pk=other.pk), cast.port).by_another == 0


# The register.


def test_who_may_keep_the_register(cast, gauge):
    for person in (cast.tech, cast.desk):
        with pytest.raises(Refused):
            add_instrument(by=person, kind="Multimeter")
        with pytest.raises(Refused):
            add_calibration(by=person, instrument=gauge, calibrated_on=date(2025, 9, 1))


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"kind": "  "}, "kind"),
        ({"kind": "Gauge", "make": "tidewell t4", "serial": "1182"}, "serial"),
        ({"kind": "Gauge", "due_on": DUE}, "calibrated_on"),
        ({"kind": "Gauge", "calibrated_on": DUE, "due_on": MADE}, "due_on"),
        ({"kind": "Gauge", "calibrated_on": MADE, "due_on": date(2225, 3, 3)}, "due_on"),
        ({"kind": "Gauge", "calibrated_on": date(1025, 3, 3)}, "calibrated_on"),
        ({"kind": "Gauge", "calibrated_on": date(2999, 3, 3)}, "calibrated_on"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(cast, gauge, facts, field):
    with pytest.raises(Refused) as refusal:
        add_instrument(by=cast.manager, **facts)
    assert field in refusal.value.fields
    assert Instrument.objects.count() == 1


def test_two_without_a_serial_number_are_two(cast):
    add_instrument(by=cast.manager, kind="Multimeter", make="Brightwater 20")
    add_instrument(by=cast.manager, kind="Multimeter", make="Brightwater 20")
    assert Instrument.objects.count() == 2


def test_one_calibration_a_day(cast, gauge):
    with pytest.raises(Refused, match="already in the register"):
        add_calibration(by=cast.manager, instrument=gauge, calibrated_on=MADE)


def test_the_same_form_twice_is_one_instrument(cast):
    key = uuid.uuid4()
    facts = {"by": cast.manager, "kind": "Multimeter", "serial": "A1", "calibrated_on": MADE, "entry_id": key}
    assert add_instrument(**facts) == add_instrument(**facts)
    with pytest.raises(Refused):
        add_instrument(**facts | {"serial": "A2"})
    made = Instrument.objects.get()
    key = uuid.uuid4()
    for _ in range(2):
        add_calibration(by=cast.manager, instrument=made, calibrated_on=DUE, entry_id=key)
    assert made.calibrations.count() == 2


def test_two_who_change_it_at_once(cast, gauge):
    other = Instrument.objects.get(pk=gauge.pk)
    change_instrument(by=cast.manager, instrument=gauge, seen_version=1, changes={"make": "Tidewell T5"})
    with pytest.raises(Conflict):
        change_instrument(by=cast.owner, instrument=other, seen_version=1, changes={"make": "Tidewell T6"})


# Pages.


def sheet(job: Job, cast: Cast, **more: str) -> tuple[str, dict[str, str]]:
    form = {
        "phase": "arrival", "hours": "", "instrument": "", "happened_at": "", "text": "",
        "other-parameter": str(Parameter.objects.get(name="Oil pressure").pk), "other-value": "44",
        "other-unit": "psi", **more,
    }  # fmt: skip
    return f"{reverse('findings:job_readings', args=[job.number])}?engine={cast.port.pk}", form


def test_without_a_register_nothing_is_chosen(client: Client, cast, job):
    client.force_login(cast.tech)
    address, form = sheet(job, cast, instrument="Gauge G-12")
    page = client.get(address).content.decode()
    assert "Instrument of the shop" not in page
    assert "Measured with" in page
    assert client.post(address, form).status_code == 302
    assert Reading.objects.get().instrument == "Gauge G-12"


def test_chosen_on_the_sheet_and_shown_everywhere(client: Client, cast, job, gauge):
    client.force_login(cast.tech)
    address, form = sheet(job, cast, registered=str(gauge.pk), happened_at="2026-05-01T10:00", instrument="long hose")
    assert "Pressure gauge, Tidewell T4, serial 1182 · " in client.get(address).content.decode()
    assert client.post(address, form).status_code == 302
    reading = Reading.objects.get()
    assert (reading.registered, reading.instrument) == (gauge, "long hose")
    words = "Pressure gauge, Tidewell T4 (long hose), serial 1182"
    for page in (
        reverse("findings:job", args=[job.number]),
        reverse("vessels:entry", args=[reading.pk]),
        reverse("vessels:log", args=[cast.vessel.pk]),
        reverse("findings:parameter_history", args=[cast.vessel.pk, reading.parameter_id]) + f"?engine={cast.port.pk}",
        reverse("findings:instrument", args=[gauge.pk]),
    ):
        text = client.get(page).content.decode()
        assert words in text, page
        assert "out of calibration (was due Mar 3, 2026)" in text, page


# Whether an instrument can have measured this at all: a question where it surely cannot, silence everywhere else.


@pytest.mark.parametrize(
    ("registered", "typed", "kind", "name"),
    [
        ("Multimeter, Tidewell M1", "", Kind.PRESSURE, "multimeter"),
        ("", "multimeter", Kind.PRESSURE, "multimeter"),
        ("", "DMM", Kind.TORQUE, "multimeter"),
        ("Clamp multimeter, Brightwater 20", "", Kind.SPECIFIC_GRAVITY, "multimeter"),
        ("Multimeter", "voltmeter", Kind.PRESSURE, "multimeter"),
        ("Pressure gauge, Tidewell T4", "", Kind.VOLTAGE, "pressure gauge"),
        ("Compression tester", "", Kind.CURRENT, "pressure gauge"),
        ("", "infrared thermometer", Kind.PRESSURE, "thermometer"),
        ("Torque wrench, 3/8 in", "", Kind.PRESSURE, "torque wrench"),
        ("", "Feeler gauge", Kind.PRESSURE, "length gauge"),
        ("", "photo tachometer", Kind.VOLTAGE, "tachometer"),
        ("Hydrometer", "", Kind.PRESSURE, "hydrometer"),
    ],
)
def test_what_an_instrument_cannot_measure_by_itself_is_asked_about(registered, typed, kind, name):
    assert cannot_measure(registered, typed, kind) == name


@pytest.mark.parametrize(
    ("registered", "typed", "kind"),
    [
        ("", "", Kind.PRESSURE),
        ("Multimeter, Tidewell M1", "", Kind.VOLTAGE),
        ("Multimeter, Tidewell M1", "", Kind.RESISTANCE),
        ("Multimeter", "", Kind.TEMPERATURE),  # many have a thermocouple
        ("Multimeter", "", Kind.ROTATION),  # and a lead for the ignition
        ("Multimeter", "", Kind.ON_OFF),
        ("Multimeter", "", Kind.HOURS),
        ("Multimeter", "pressure transducer 0 to 150 psi", Kind.PRESSURE),
        ("Multimeter", "PT-150", Kind.PRESSURE),
        ("Multimeter", "and mechanical gauge", Kind.PRESSURE),
        ("", "multimeter on the sender", Kind.PRESSURE),
        ("", "multimeter with transducer", Kind.PRESSURE),
        ("", "multimeter + pressure module", Kind.PRESSURE),
        ("Multimeter with pressure adapter", "", Kind.PRESSURE),
        ("Pressure transducer, Tidewell P2", "", Kind.PRESSURE),
        ("Pressure transducer, Tidewell P2", "", Kind.VOLTAGE),
        ("Reader, Brightwater", "", Kind.PRESSURE),
        ("", "scan tool", Kind.PRESSURE),
        ("", "laptop", Kind.PRESSURE),
        ("", "helm display", Kind.TEMPERATURE),
        ("", "dash gauge", Kind.PRESSURE),
        ("", "multimeters of the other shop", Kind.PRESSURE),
        ("Pressure gauge, Tidewell T4", "long hose", Kind.PRESSURE),
        ("Leak-down tester", "", Kind.PERCENT),
        ("Refractometer", "", Kind.TEMPERATURE),  # coolant: the point at which it freezes
        ("Tachometer", "", Kind.FREQUENCY),
        ("", "tachograph", Kind.VOLTAGE),
    ],
)
def test_nothing_is_asked_where_it_may_be(registered, typed, kind):
    assert cannot_measure(registered, typed, kind) == ""


def test_a_multimeter_for_a_pressure_is_asked_about_and_never_refused(client: Client, cast, job, gauge):
    meter = add_instrument(by=cast.manager, kind="Multimeter", make="Tidewell M1")
    client.force_login(cast.tech)
    address, form = sheet(job, cast, registered=str(meter.pk))
    question = "A multimeter measures no pressure by itself: was another gauge or a transducer used?"
    answer = client.post(address, form, follow=True)
    reading = Reading.objects.get()
    assert f"{question} Correct the reading if so." in answer.content.decode()
    for page in (
        reverse("findings:job", args=[job.number]),
        reverse("vessels:entry", args=[reading.pk]),
        reverse("findings:parameter_history", args=[cast.vessel.pk, reading.parameter_id]) + f"?engine={cast.port.pk}",
        reverse("findings:instrument", args=[meter.pk]),
    ):
        assert question in client.get(page).content.decode(), page


def test_a_pressure_gauge_for_a_pressure_is_not_asked_about(client: Client, cast, job, gauge):
    client.force_login(cast.tech)
    address, form = sheet(job, cast, registered=str(gauge.pk))
    assert "by itself" not in client.post(address, form, follow=True).content.decode()


def test_a_pressure_worked_out_from_a_voltage_is_not_asked_about(cast, job):
    meter = add_instrument(by=cast.manager, kind="Multimeter")
    worked_from = {
        "tool": "transducer",
        "title": "Transducer",
        "inputs": [],
        "outcome": [],
        "formula": "",
        "source": "",
    }
    found = measure(cast, MADE, registered=meter, worked_from=worked_from)
    assert instrument_remark(found) == ""
    assert instrument_remark(measure(cast, MADE, registered=meter)) != ""


def test_an_instrument_out_of_service_is_offered_no_more_but_kept_in_a_correction(client: Client, cast, job, gauge):
    reading = measure(cast, date(2025, 6, 1), registered=gauge, job=job)
    other = add_instrument(by=cast.manager, kind="Multimeter")
    change_instrument(
        by=cast.manager, instrument=gauge, seen_version=1, changes={"out_of_service_on": timezone.localdate()}
    )
    client.force_login(cast.tech)
    address, _ = sheet(job, cast)
    page = client.get(address).content.decode()
    assert "Tidewell T4" not in page
    assert str(other) in page
    correct = reverse("findings:correct_reading", args=[reading.pk])
    page = client.get(correct).content.decode()
    assert f'<option value="{gauge.pk}" selected>' in page
    form = {
        "value": "41", "unit": "psi", "minimum": "", "maximum": "", "condition": "", "engine": str(cast.port.pk),
        "hours": "", "registered": str(gauge.pk), "instrument": "", "happened_at": "2025-06-01T11:00",
        "phase": "arrival", "text": "Misread.",
    }  # fmt: skip
    assert client.post(correct, form).status_code == 302
    right = Reading.objects.get(entry__amends=reading.entry)
    assert said(right) == said(reading)


def test_a_scan_names_its_reader_and_says_nothing_of_a_calibration_it_has_not(client: Client, cast, job):
    reader = add_instrument(by=cast.manager, kind="Code reader", make="Harborlight R2", serial="R-7")
    client.force_login(cast.tech)
    form = {
        "unit": str(cast.port_unit.pk), "phase": "arrival", "extent": "all", "listed": "", "code": "110-0",
        "status": "active", "count": "", "system": "", "hours": "", "happened_at": "", "text": "",
        "registered": str(reader.pk), "instrument": "", "do": "add",
    }  # fmt: skip
    address = reverse("findings:scan", args=[job.number])
    page = client.post(address, form).content.decode()
    assert f'<option value="{reader.pk}" selected>' in page
    assert client.post(address, form | {"do": "log"}).status_code == 302
    scan = Scan.objects.get()
    assert (scan.registered, scan.instrument_serial) == (reader, "R-7")
    text = client.get(reverse("vessels:entry", args=[scan.pk])).content.decode()
    assert "Read with Code reader, Harborlight R2, serial R-7." in text
    assert "calibration" not in text


def test_a_number_that_is_no_instrument_is_a_sentence(client: Client, cast, job, gauge):
    client.force_login(cast.tech)
    for nonsense in ("999999", "²", "x", "1" * 30):
        address, form = sheet(job, cast, registered=nonsense)
        answer = client.post(address, form)
        assert answer.status_code == 422, nonsense
    assert not LogEntry.objects.filter(kind="reading").exists()


def test_the_register_on_its_pages(client: Client, cast, gauge):
    client.force_login(cast.manager)
    form = {
        "kind": "Multimeter", "make": "Brightwater 20", "serial": "B-1", "calibrated_on": "", "due_on": "",
        "entry_id": str(uuid.uuid4()),
    }  # fmt: skip
    for _ in range(2):
        assert client.post(reverse("findings:instrument_add"), form).status_code == 302
    made = Instrument.objects.get(serial="B-1")
    page = reverse("findings:instrument", args=[made.pk])
    assert "No calibration is on record." in client.get(page).content.decode()
    answer = client.post(page, {"calibrated_on": "2026-01-09", "due_on": "2026-01-01", "entry_id": ""})
    assert answer.status_code == 422
    assert "A day after the calibration." in answer.content.decode()
    assert client.post(page, {"calibrated_on": "2026-01-09", "due_on": "2027-01-09"}).status_code == 302
    taken = made.calibrations.get()
    assert client.post(reverse("findings:calibration_strike", args=[taken.pk]), {"entry_id": ""}).status_code == 302
    assert "voided by Mina Sparrow" in client.get(page).content.decode()
    listed = client.get(reverse("findings:instruments")).content.decode()
    assert "Brightwater 20" in listed
    assert "calibration not on record" in listed
    edit = reverse("findings:instrument_change", args=[made.pk])
    changed = {"kind": "Multimeter", "make": "Brightwater 21", "serial": "B-1", "out_of_service_on": "2026-02-01"}
    assert client.post(edit, changed | {"seen_version": "1"}).status_code == 302
    assert "out of service since Feb 1, 2026" in client.get(reverse("findings:instruments")).content.decode()
    assert client.post(edit, changed | {"seen_version": "1", "make": "Other"}).status_code == 409
