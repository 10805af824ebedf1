"""A reading is corrected by its value, once; the old one stays visible and is marked wherever it shows."""

from __future__ import annotations

import uuid
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Refused
from engineering.codes import Code, CodeSystem
from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.queries import effective_readings
from tests.findings.story import COOLANT, LEAN, OIL, at, fault, scan, seen
from vessels.actions import amend_text, retract

HOT = Code(CodeSystem.SPN, "110-15")
SHOP = ZoneInfo("America/New_York")


@pytest.fixture
def wrong(cast, job):
    """A point was lost: 445 psi of oil pressure."""
    return put(cast, job, "445", text="")


def put(cast, job, value, *, day=1, **more):
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=Parameter.objects.get(name="Oil pressure"),
        value=Decimal(value), unit="psi", condition="warm", phase="arrival", instrument="Gauge 3", job=job,
        engine_hours=Decimal(100 + day), happened_at=at(day), **more,
    )  # fmt: skip


def sent(tech, wrong, **more):
    url = reverse("findings:correct_reading", args=[wrong.pk])
    form = tech.get(url).context["form"]
    answers = {name: form[name].value() for name in form.fields} | {"entry_id": str(uuid.uuid4())}
    answers = {name: "" if value is None else value for name, value in answers.items()}
    return url, answers | more


def test_the_form_holds_what_stands_there_and_replaces_it_at_the_same_moment(tech, cast, job, wrong):
    url, answers = sent(tech, wrong, value="44.5", text="A point was lost.")
    assert (answers["hours"], answers["condition"], answers["instrument"]) == ("101", "warm", "Gauge 3")
    assert [tech.post(url, answers).status_code for _ in range(2)] == [302, 302]
    right = Reading.objects.exclude(pk=wrong.pk).get()
    assert (right.value, right.unit, right.condition, right.phase) == (Decimal("44.5"), "psi", "warm", "arrival")
    assert (right.entry.amends_id, right.entry.happened_at) == (wrong.pk, wrong.entry.happened_at)
    assert (right.entry.engine_hours, right.entry.job, right.entry.engine) == (Decimal(101), job, cast.port)


def test_it_is_corrected_once(tech, wrong):
    url, answers = sent(tech, wrong, value="44.5")
    assert tech.post(url, answers).status_code == 302
    again = tech.post(url, answers | {"value": "44.6", "entry_id": str(uuid.uuid4())})
    assert again.status_code == 422
    assert "already corrected by " in again.content.decode()
    page = tech.get(url).content.decode()
    assert "corrected by " in page
    assert "Log the correction" not in page
    assert Reading.objects.count() == 2


def test_what_is_no_value_is_said_by_its_field(tech, wrong):
    for change, field in [({"value": "x"}, "value"), ({"value": ""}, "value"), ({"hours": "9"}, "hours")]:
        if field == "hours":
            scan_before(wrong)
        url, answers = sent(tech, wrong, **change)
        answer = tech.post(url, answers)
        assert answer.status_code == 422
        assert answer.context["form"].errors[field]
    assert Reading.objects.count() == 1


def scan_before(wrong):
    from tests.findings.story import log_scan

    log_scan(
        by=wrong.entry.author, unit=wrong.entry.engine.units.get(), phase="arrival", is_complete=True, codes=[],
        engine_hours=Decimal(100), happened_at=at(0),
    )  # fmt: skip


def test_the_old_value_is_marked_wherever_it_shows(tech, cast, job, wrong):
    right = put(cast, job, "44.5", amends=wrong.entry)
    gone = put(cast, job, "12", day=2)
    taken = retract(by=cast.tech, entry=gone.entry, reason="Wrong gauge.")
    see_right, see_taken = (reverse("vessels:entry", args=[pk]) for pk in (right.pk, taken.pk))
    history = reverse("findings:parameter_history", args=[cast.vessel.pk, wrong.parameter_id])
    for url in (reverse("findings:job", args=[job.number]), f"{history}?engine={cast.port.pk}&condition=warm"):
        page = tech.get(url).content.decode()
        for old in ("445 psi", "12 psi"):
            assert f"<s>{old}</s>" in page, url
        assert page.count(">corrected</span>") == 1
        today = f"{timezone.localdate():%b} {timezone.localdate().day}, {timezone.localdate().year}"
        assert page.count(f"</span> by {cast.tech.name}, {today}: <a") == 2
        assert page.count(">voided</span>") == 1
        assert see_right in page
        assert see_taken in page
        assert ">a correction</span>" in page
        assert reverse("findings:correct_reading", args=[right.pk]) in page
        assert reverse("findings:correct_reading", args=[wrong.pk]) not in page
    assert "2 readings here were corrected or voided and are left out of the trend." in page
    latest = tech.get(reverse("findings:vessel_readings", args=[cast.vessel.pk])).content.decode()
    assert "44.5 psi" in latest
    assert ">a correction</span>" in latest
    assert "445 psi" not in latest


def test_who_may_not_amend_is_offered_nothing(client, cast, job, wrong):
    client.force_login(cast.desk)
    page = client.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "correct it" not in page
    assert client.get(reverse("findings:correct_reading", args=[wrong.pk])).status_code == 403


# ---- before and after


def test_every_scan_of_the_job_stands_in_before_and_after(tech, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    scan(cast, 1, 101, [seen(COOLANT), seen(OIL)], job=job, phase="after-repair")
    scan(cast, 2, 102, [], job=job, phase="sea-trial")
    page = tech.get(reverse("findings:job", args=[job.number]))
    unit = page.context["findings"].units[0]
    assert [one.phase for one in unit.scans] == ["arrival", "after-repair", "sea-trial"]
    rows = {row.fault.fault.label: [words for _, words in row.cells] for row in unit.rows}
    assert rows == {
        "SPN 110 FMI 0": ["active", "active", "not listed"],
        "SPN 100 FMI 1": ["not listed", "active", "not listed"],
    }
    assert {row.compared.change.value for row in unit.rows} == {"gone"}
    body = page.content.decode()
    assert body.index("On arrival") < body.index("After repair") < body.index("Sea trial")


def test_what_came_back_between_two_scans_is_neither_new_nor_still_there(tech, cast, job):
    from tests.findings.story import clear

    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 1, 101, job=job)
    scan(cast, 1.5, 101, [], job=job, phase="after-repair")
    scan(cast, 9, 140, [seen(COOLANT)], job=job, phase="sea-trial")
    page = tech.get(reverse("findings:job", args=[job.number]))
    row = page.context["findings"].units[0].rows[0]
    assert row.fault.fault.state == "not fixed yet"  # on the very job that had cleared it
    assert row.came_back
    assert ">not fixed yet</span>" in page.content.decode()
    assert ">still there</span>" not in page.content.decode()


@pytest.mark.parametrize(
    ("scans", "clears", "sentence", "words"),
    [
        ([[], []], False, "no codes before, no codes after.", []),
        ([[COOLANT, OIL], [OIL]], False, "1 gone, 1 still there.", ["gone", "still there"]),
        ([[COOLANT, OIL], [OIL]], True, "1 gone, 1 not fixed yet.", ["gone", "not fixed yet"]),
        ([[COOLANT], [OIL]], False, "1 gone, 1 new.", ["gone", "new"]),
        ([[], [OIL], []], False, "1 gone.", ["gone"]),
        ([[HOT], [COOLANT, OIL], [HOT]], False, "2 gone, 1 not fixed yet.", ["gone", "gone", "not fixed yet"]),
        ([[LEAN], [OIL], [LEAN]], False, "1 still there, 1 that cannot be compared.",
         ["cannot be compared", "still there"]),
        ([[COOLANT], [COOLANT, OIL], [COOLANT]], False, "1 gone, 1 still there.", ["gone", "still there"]),
        ([[COOLANT, OIL], []], False, "2 gone.", ["gone", "gone"]),
    ],
)  # fmt: skip
def test_the_heading_counts_what_the_table_says(tech, cast, job, scans, clears, sentence, words):
    from tests.findings.story import clear

    for day, codes in enumerate(scans):
        phase = "arrival" if day == 0 else "after-repair"
        scan(cast, day, 100 + day, [seen(code) for code in codes], job=job, phase=phase)
        if clears and day == 0:
            clear(cast, 0.5, 100, job=job)
    page = tech.get(reverse("findings:job", args=[job.number]))
    unit = page.context["findings"].units[0]
    assert unit.sentence == sentence
    assert sorted(row.change for row in unit.rows) == words
    last = at(len(scans) - 1).astimezone(SHOP)
    said = f"{last:%b} {last.day}, {last:%Y, %I:%M %p}".replace(", 0", ", ")
    assert f"<p>By the last scan of this job, {said}: {sentence}" in page.content.decode()


def test_what_only_some_codes_leave_open_is_counted_so(tech, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    scan(cast, 1, 101, [seen(OIL)], job=job, phase="after-repair", complete=False)
    unit = tech.get(reverse("findings:job", args=[job.number])).context["findings"].units[0]
    assert unit.sentence == "1 new, 1 that cannot be compared."


def test_what_a_scan_in_between_proved_is_not_left_open_by_a_partial_one(tech, cast, job):
    scan(cast, 0, 100, [seen(COOLANT), seen(HOT)], job=job)
    scan(cast, 1, 101, [seen(HOT)], job=job, phase="after-repair")
    scan(cast, 2, 102, [seen(OIL)], job=job, phase="sea-trial", complete=False)
    page = tech.get(reverse("findings:job", args=[job.number]))
    unit = page.context["findings"].units[0]
    assert {row.fault.fault.label: row.change for row in unit.rows}["SPN 110 FMI 0"] == "gone"
    assert fault(COOLANT).state == "historic"
    assert unit.sentence == "1 gone, 1 new, 1 that cannot be compared."
    assert "a code that it does not list is not proven gone by it." in page.content.decode()


def test_what_was_cleared_after_the_last_scan_is_told_as_of_that_scan(tech, cast, job):
    from tests.findings.story import clear

    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    scan(cast, 0.25, 100, [seen(COOLANT)], job=job, phase="after-repair")
    clear(cast, 0.3, 100, job=job)
    body = tech.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "<p>By the last scan of this job, Apr 1, 2025, 2:00 PM: 1 still there." in body
    assert ">By the last scan</th>" in body
    assert fault(COOLANT).state == "cleared"


def test_a_return_on_a_later_job_is_no_change_between_the_scans_of_this_one(tech, cast, job):
    from tests.findings.story import clear, open_job

    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    scan(cast, 1, 101, [seen(COOLANT)], job=job, phase="after-repair")
    later = open_job(cast, day=20)
    clear(cast, 20, 150, job=later)
    scan(cast, 30, 200, [seen(COOLANT)], job=later)
    unit = tech.get(reverse("findings:job", args=[job.number])).context["findings"].units[0]
    assert unit.sentence == "1 still there."


# ---- readings whose correction was voided, and values of a CAN log


def test_a_reading_whose_correction_was_voided_is_logged_again_once_and_no_dead_end(tech, cast, job, wrong):
    wrong = put(cast, job, "44", day=2)
    right = put(cast, job, "44.5", day=2, amends=wrong.entry)
    retract(by=cast.tech, entry=right.entry, reason="The gauge did show 44.")
    page = tech.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "(that correction was voided)" in page
    url, answers = sent(tech, wrong)
    assert url in page
    form = tech.get(url).content.decode()
    assert "(that correction was voided)" in form
    assert "Neither counts." in form
    assert answers["value"] == "44"
    assert tech.post(url, answers).status_code == 302
    again = Reading.objects.filter(value=44).exclude(pk=wrong.pk).get()
    assert (again.entry.amends_id, again.entry.happened_at) == (wrong.pk, wrong.entry.happened_at)
    assert [one.pk for one in effective_readings().filter(entry__happened_at=at(2))] == [again.pk]
    page = tech.get(reverse("findings:job", args=[job.number])).content.decode()
    assert url not in page
    assert reverse("vessels:entry", args=[again.pk]) in page
    second = tech.post(url, answers | {"entry_id": str(uuid.uuid4())})
    assert second.status_code == 422
    assert "This entry was already corrected by " in second.content.decode()
    retract(by=cast.tech, entry=again.entry, reason="No, it did not.")
    url, answers = sent(tech, wrong)
    assert tech.post(url, answers).status_code == 302
    assert effective_readings().filter(entry__happened_at=at(2)).count() == 1


def test_a_reading_that_was_voided_itself_cannot_be_corrected(cast, job, wrong):
    retract(by=cast.tech, entry=wrong.entry, reason="Another boat.")
    with pytest.raises(Refused, match="already voided by"):
        put(cast, job, "44.5", amends=wrong.entry)


def test_a_note_about_a_reading_stands_beside_it(tech, cast, job, wrong):
    amend_text(by=cast.desk, entry=wrong.entry, text="It was the transmission’s gauge.")
    for name, args in (("job", [job.number]), ("vessel_readings", [cast.vessel.pk])):
        page = tech.get(reverse(f"findings:{name}", args=args)).content.decode()
        assert "It was the transmission’s gauge." in page, name
        assert f"Corrected by {cast.desk.name}, " in page, name


DIGEST = "ab" * 32


def test_what_is_typed_in_the_place_of_a_logs_value_is_asked_about_like_any_other(tech, cast, job):
    odd = put(cast, job, "200", file_sha256=DIGEST)  # what a unit sent is a finding, however odd
    put(cast, job, "200", file_sha256=DIGEST, amends=odd.entry)
    logged = put(cast, job, "44", day=2, file_sha256=DIGEST)
    url, answers = sent(tech, logged, value="445")
    assert tech.post(url, answers).status_code == 422
    with pytest.raises(Refused):
        put(cast, job, "4800000", day=2, file_sha256=DIGEST, amends=logged.entry)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ([], ""),
        ([{"value": "188"}], "corrected by hand by Pim; the CAN log had 190.4 psi"),
        ([{"condition": "cold"}], ""),
        ([{"value": "188"}, {"value": "188", "condition": "cold"}],
         "corrected by hand by Pim; the CAN log had 190.4 psi"),
        ([{"value": "187"}, {"value": "188"}], "corrected by hand by Ada; the CAN log had 190.4 psi"),
        ([{"value": "188"}, {"value": "190.4"}], ""),
        ([{"value": "188", "file_sha256": None}], ""),
        ([{"maximum": Decimal(200)}], "corrected by hand by Pim; the CAN log had 190.4 psi"),
    ],
)  # fmt: skip
def test_a_value_of_a_can_log_that_was_corrected_by_hand_stands_in_no_log(tech, cast, job, changes, said):
    from findings.readings.queries import every_reading, reading_row
    from staff.models import Person

    Person.objects.filter(pk=cast.tech.pk).update(name="Pim")
    Person.objects.filter(pk=cast.manager.pk).update(name="Ada")
    last = put(cast, job, "190.4", file_sha256=DIGEST)
    for number, change in enumerate(changes):
        by = [cast.tech, cast.manager][number]
        told = {"value": "190.4", "file_sha256": DIGEST} | change
        last = log_reading(
            by=by, vessel=cast.vessel, engine=cast.port, parameter=last.parameter, unit="psi", phase="arrival",
            value=Decimal(told.pop("value")), job=job, amends=last.entry, **told,
        )  # fmt: skip
    assert reading_row(every_reading().get(pk=last.pk)).by_hand == said
    pages = [
        reverse("findings:job", args=[job.number]),
        reverse("vessels:entry", args=[last.pk]),
        reverse("findings:vessel_readings", args=[cast.vessel.pk]),
    ]
    for url in pages:
        page = tech.get(url).content.decode()
        if len(changes) < 2 or url != pages[0]:  # what stood in between is told there as well
            assert ("orrected by hand by" in page) is bool(said), url
        assert said[1:] in page, url
    entry = tech.get(pages[1]).content.decode()
    assert ("The CAN log it was read from" in entry) is (not said and bool(last.file_sha256))
