"""Who, where, with what and why: what a surveyor or an insurer asks of a report, and what may not be printed."""

from __future__ import annotations

import json
import re
from dataclasses import MISSING, fields, is_dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from jsonschema import Draft202012Validator

from commands.refusals import Refused
from engineering.hours import hours_words
from files.paper.drawing import Stationery
from files.paper.letters import lacking_in
from findings.faults.actions import log_scan
from findings.instruments.actions import add_calibration, add_instrument, change_instrument
from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from findings.reports import actions, schema
from findings.reports import record as record_forms
from findings.reports.amounts import amount, verdict_words
from findings.reports.build import build_findings
from findings.reports.differences import MOST, differences
from findings.reports.gaps import gaps
from findings.reports.letters import unprintable
from findings.reports.models import DraftState, ReportDraft
from findings.reports.page_one import hin_words
from findings.reports.record import FORMAT, Record, from_json, to_json
from findings.reports.render import paper_html
from findings.reports.verdicts import verdict_of
from findings.reports.verifying import check_number
from tests.findings import story
from tests.findings.reports import sample, scene
from vessels.actions import retract
from vessels.hours import hours_around
from workorders.actions import add_charge, change_line
from workorders.jobparts.actions import charge_fitted, fit_part

pytestmark = pytest.mark.django_db


def words_of(findings) -> str:
    page = paper_html(Record(format=FORMAT, issue=None, findings=findings), Stationery("letter"))
    return " ".join(page.split())


def test_where_when_and_before_whom_it_was_inspected(cast, job):
    job.spot, job.technician = "B-12", cast.tech
    job.save()
    draft = actions.draft_report(by=cast.tech, job=job)
    # Where the boat is was said at the counter; whether she floats and who attended, nobody has said.
    assert (draft.place, draft.afloat, draft.attended) == ("Slip B-12", "", "")
    changes = {"attended": "Tomas Reef; the owner", "afloat": "both", "inspected_on": date(2025, 4, 10)}
    draft = actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes=changes)
    found = build_findings(draft)
    assert found.inspection is not None
    assert (found.inspection.first_at, found.inspection.last_at) == (story.at(10), story.at(12))
    words = words_of(found)
    for said in (
        "Slip B-12, afloat and ashore",
        "Tomas Reef; the owner",
        "Apr 10, 2025; logged Apr 11, 2025 to Apr 13",
    ):
        assert said in words, said


def test_what_nobody_said_is_not_given(cast):
    job = story.open_job(cast)
    job.location = "away"
    job.save()
    words = words_of(build_findings(actions.draft_report(by=cast.tech, job=job)))
    for said in ("date not given", "not given; afloat or ashore: not given"):
        assert said in words


@pytest.mark.parametrize(
    ("hin", "found", "remark", "said"),
    [
        ("GBD12345A525", "", "", "GBD12345A525, from the records; whether it was read on the hull is not given"),
        ("GBD12345A525", "matches", "", "GBD12345A525, read on the hull"),
        ("GBD12345A525", "not-read", "", "GBD12345A525, from the records, not read on this job"),
        (
            "GBD12345A525",
            "differs",
            "",
            "GBD12345A525, from the records; the hull shows a different one, see the remarks",
        ),
        ("", "", "", "not known"),
        ("", "", "built 1968", "not known, built 1968"),
        ("", "", "Built 1968, before HINs.", "not known. Built 1968, before HINs."),
        ("", "not-read", "", "not known: not read on this job"),
        ("", "unreadable", "", "not known: not legible on the hull"),
        ("", "none", "built 1968", "none: the hull carries none, built 1968"),
    ],
)
def test_a_hin_not_known_is_not_none(cast, job, hin, found, remark, said):
    cast.vessel.hin, cast.vessel.hin_remark = hin, remark
    cast.vessel.save()
    draft = actions.draft_report(by=cast.tech, job=job)
    draft = actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes={"hin_found": found})
    assert hin_words(build_findings(draft)) == said


def test_each_correction_says_by_whom_when_and_with_which_parts(cast, job):
    line = job.lines.get()
    change_line(
        by=cast.tech,
        line=line,
        seen_version=line.version,
        changes={"correction": "Fitted a new thermostat."},
        happened_at=story.at(12),
    )
    for name, of in [("Thermostat", line), ("Shop rags", None)]:
        add_charge(
            by=cast.manager, job=job, line=of, kind="part", description=name, quantity=Decimal(2), unit_price=Decimal(9)
        )
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    (said,) = found.lines
    assert (said.corrected_by, said.corrected_at) == ("Tomas Reef", story.at(12))
    assert [(part.description, part.quantity) for part in said.parts] == [("Thermostat", Decimal(2))]
    assert [part.description for part in found.other_parts] == ["Shop rags"]
    words = words_of(found)
    assert "2 × Thermostat" in words
    assert "Recorded by Tomas Reef, Apr 13, 2025" in words


def test_what_was_fitted_is_said_with_its_correction_and_a_charge_for_it_is_not_said_again(cast, job):
    line = job.lines.get()

    around = hours_around(cast.port, story.at(12))
    known = around.before or around.after

    def fit(**told):
        told = {"by": cast.tech, "job": job, "quantity": Decimal(1), "condition": "new", **told}
        return fit_part(**told, happened_at=story.at(12))

    pump = fit(number="TW-150", maker="Tidewright", description="Pump", line=line, engine=cast.port, serial="P7")
    right = fit(number="TW-150", maker="Tidewright", description="Pump", line=line, engine=cast.port, serial="P8",
                condition="rebuilt", engine_hours=known.hours, amends=pump.entry)  # fmt: skip
    gone = fit(description="Hose")
    retract(by=cast.tech, entry=gone.entry, reason="Other boat.")
    charge_fitted(by=cast.manager, fitted=right, unit_price=Decimal(5))
    add_charge(by=cast.manager, job=job, kind="part", description="Shop rags", unit_price=Decimal(9))
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    (part,) = found.lines[0].parts
    assert (part.is_fitted, part.serial, part.condition, part.hours) == (True, "P8", "rebuilt", known.hours)
    assert (part.at, part.by, part.is_correction) == (story.at(12), "Tomas Reef", True)
    assert [(one.description, one.is_fitted) for one in found.other_parts] == [("Shop rags", False)]
    words = re.sub(r"<[^>]+>", "", words_of(found)).replace("\xa0", " ")
    assert "1 × Pump (Tidewright) TW-150, rebuilt, serial P8 (fitted on " in words
    assert f"{hours_words(known.hours)}, Apr 13, 2025, recorded by Tomas Reef, corrected)" in words
    assert "Hose" not in words


def test_who_made_a_correction_is_not_who_wrote_it_down(cast, job):
    line = job.lines.get()
    line.done_by.clear()
    changes = {"correction": "Fitted a new thermostat.", "done_on": None}
    change_line(by=cast.manager, line=line, seen_version=line.version, changes=changes, happened_at=story.at(12))
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert "Done by: not recorded. Done on: not recorded. Recorded by Mina Sparrow, Apr 13, 2025" in words_of(found)
    assert "does not say by whom and when the correction was made." in " ".join(gaps(found, job))
    changes = {"done_by": [cast.tech, cast.owner], "done_on": date(2025, 4, 12)}
    change_line(by=cast.manager, line=line, seen_version=line.version, changes=changes, happened_at=story.at(12.1))
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert (found.lines[0].done_by, found.lines[0].done_on) == (("Orla Brandt", "Tomas Reef"), date(2025, 4, 12))
    said = "Done by: Orla Brandt, Tomas Reef. Done on: Apr 12, 2025. Recorded by Mina Sparrow"
    assert said in words_of(found)
    assert "the correction was made" not in " ".join(gaps(found, job))


def test_readings_name_who_took_them(cast, job):
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert {reading.by for reading in found.readings} == {"Tomas Reef"}
    assert "Gauge G-12, calibration not on record" in words_of(found)


def test_an_instrument_past_its_calibration_is_said_to_be():
    words = words_of(sample.covered(sample.findings()))
    assert "serial 4471-B, <b>out of calibration (was due Jul 1, 2025)</b>" in words


def test_an_instrument_of_the_register_is_named_as_it_stood_when_it_was_read(cast, job):
    gauge = add_instrument(
        by=cast.manager,
        kind="Pressure gauge",
        make="Tidewell T4",
        serial="1182",
        calibrated_on=date(2024, 4, 1),
        due_on=date(2025, 4, 1),
    )
    reader = add_instrument(by=cast.manager, kind="Code reader", make="Harborlight R2", serial="R-7")
    told = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "unit": "psi", "job": job, "phase": "delivery"}
    told |= {"parameter": Parameter.objects.get(name="Oil pressure"), "registered": gauge}
    log_reading(**told, value=Decimal(50), condition="at idle", happened_at=story.at(0))
    log_reading(**told, value=Decimal(51), condition="at idle", instrument="long hose", happened_at=story.at(12.5))
    log_reading(**told, value=Decimal(52), condition="a log", file_sha256="ab" * 32, happened_at=story.at(12.6))
    story.scan(cast, 12.7, 789, [], job=job, phase="delivery", registered=reader)
    add_calibration(by=cast.manager, instrument=gauge, calibrated_on=date(2025, 5, 1), due_on=date(2026, 5, 1))
    change_instrument(by=cast.manager, instrument=gauge, seen_version=1, changes={"serial": "other"})
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    record = to_json(Record(format=FORMAT, issue=None, findings=found))
    schema.check(record)
    words = words_of(found)
    gauge_words = "Pressure gauge, Tidewell T4"
    assert f"{gauge_words}, serial 1182, calibrated until Apr 1, 2025" in words
    out = "serial 1182, <b>out of calibration (was due Apr 1, 2025)</b>"
    assert f"{gauge_words} (long hose), {out}" in words
    assert f"the boat’s own sensors, from CAN log abababababab…, recorded with {gauge_words}, {out}" in words
    assert "Code reader, Harborlight R2, serial R-7<p" in words.replace(" <p", "<p")


def test_a_record_of_before_the_register_keeps_its_published_form(project_root):
    """Fields that were added to a format are none that every record of it has."""
    file = project_root / "tests" / "findings" / "reports" / "record-of-the-second-form.json"
    plain = json.loads(file.read_text())
    for scan in plain["findings"]["scans"]:
        for name in ("instrument_serial", "calibrated_on", "calibrated_until", "file_sha256"):
            del scan[name]
    for reading in plain["findings"]["readings"]:
        del reading["calibrated_on"], reading["file_sha256"]
    for line in plain["findings"]["lines"]:
        del line["done_by"], line["done_on"]
    form = json.loads((project_root / "docs" / "report-schema-2.json").read_text())
    Draft202012Validator(form).validate(plain)
    assert from_json(json.dumps(plain)).findings.scans[0].instrument_serial == ""


def test_the_signers_license_is_under_the_signature(cast, job, issue):
    cast.owner.license_number = "MT-2207"
    cast.owner.save()
    report = issue(job)
    assert '"license": "MT-2207"' in report.record


def test_a_revision_says_what_it_changes_and_why(cast, job, issue, django_capture_on_commit_callbacks):
    first = issue(job)
    story.scan(cast, 13, 790, [story.seen(story.LEAN)], job=job, phase="delivery")
    why = "The delivery scan was missing."
    draft = scene.explained(cast, actions.revise_report(by=cast.manager, report=first), why)
    found = build_findings(draft)
    assert found.revision is not None
    assert (found.revision.number, found.revision.why) == (first.number, why)
    said = " ".join(found.revision.changed)
    assert "Scan added: Engine control unit (port), Apr 14, 2025, on delivery, complete: P0171 active." in said
    assert "Code added: P0171 of Engine control unit (port), active." in said
    assert "788 h" in said
    assert "790 h" in said
    words = words_of(found)
    assert why in words
    assert f'In place of</dt><dd>report <span class="rp-code">{first.number}' in words


def test_nothing_different_is_said_as_such(cast, job, issue):
    first = issue(job)
    draft = scene.explained(cast, actions.revise_report(by=cast.manager, report=first))
    found = build_findings(draft)
    assert found.revision is not None
    assert found.revision.changed == ()
    assert "No fact of the record is different." in words_of(found)


def test_other_words_for_a_code_are_told_in_a_revision():
    old = sample.findings()
    first, *others = old.faults
    new = replace(old, faults=(replace(first, meaning="Engine coolant over temperature"), *others))
    (said,) = differences(old, new)
    assert f"meaning: “Engine coolant over temperature”, it was “{first.meaning}”" in said


def test_many_differences_are_cut_and_counted():
    old, new = sample.findings(), sample.much().findings
    found = differences(old, new)
    assert len(found) == MOST + 1
    assert found[-1].endswith("more differences: compare the two records (record.json).")


def test_a_report_after_a_withdrawal_names_the_one_withdrawn(cast, job, issue):
    first = issue(job)
    actions.withdraw_report(by=cast.owner, report=first, reason="Wrong engine hours.")
    draft = actions.draft_report(by=cast.tech, job=job)
    assert draft.supersedes == first
    words = words_of(build_findings(draft))
    assert "and withdrawn" in words
    assert "Wrong engine hours." in words


@pytest.mark.parametrize(
    ("value", "unit", "system", "said"),
    [
        ("38", "psi", "us", "38 psi"),
        ("38", "psi", "metric", "38 psi (262.0 kPa)"),
        ("262", "kPa", "us", "262 kPa (38.00 psi)"),
        ("2.6", "bar", "metric", "2.6 bar"),
        ("180", "degF", "metric", "180 °F (82.22 °C)"),
        ("13.40", "V", "metric", "13.4 V"),
        ("3200", "rpm", "metric", "3200 rpm"),
        ("22", "kn", "us", "22 kn"),
        ("1", "on/off", "metric", "on"),
        ("12", "gal/h", "metric", "12 gal/h (45.42 L/h)"),
    ],
)
def test_a_value_of_the_other_system_is_given_in_both(value, unit, system, said):
    assert amount(Decimal(value), unit, system, of="Coolant temperature") == said


def test_a_rise_of_temperature_is_given_in_both_without_the_zero_of_either():
    assert amount(Decimal(18), "degF", "metric", of="Coolant temperature rise") == "18 °F (10 °C)"


def test_a_verdict_does_not_say_its_value_again():
    assert (
        verdict_words(sample.reading("Fuel pressure", "38", "out", "38 psi, 2 psi below the band"))
        == "2 psi below the band"
    )
    other = sample.reading("Fuel pressure", "38", "out", "at its lowest 36 psi, 4 psi below the band")
    assert verdict_words(other) == "at its lowest 36 psi, 4 psi below the band"


# Letters.


@pytest.mark.parametrize(
    "text",
    [
        "Ελένη",
        "Щукин",
        "أحمد البحار",
        "דוד",
        "श्रीमती गंगा",
        "สมชาย",
        "Đặng Thị Hồng",
        "Łódź",
        "naïve “quoted” – 5 °C × Ω µ ½",
    ],
)
def test_alphabets_that_the_paper_has(text):
    assert lacking_in(text) == []


@pytest.mark.parametrize(
    ("text", "lacking"), [("山田", ["山", "田"]), ("fine 🙂", ["🙂"]), ("한", ["한"]), ("e\u0301", [])]
)
def test_letters_that_the_paper_lacks(text, lacking):
    assert lacking_in(text) == lacking


def test_nothing_is_signed_that_would_show_an_empty_box(cast, job, client):
    cast.customer.name = "山田 Taro"
    cast.customer.save()
    draft = scene.reviewed(cast, job)
    with pytest.raises(Refused, match="no characters for “山” in “") as refusal:
        scene.sign(cast.owner, draft)
    assert "“田”" in refusal.value.sentence
    draft.refresh_from_db()
    assert draft.state == DraftState.REVIEWED
    client.force_login(cast.owner)
    page = client.get(reverse("reports:sign", args=[job.number])).content.decode()
    assert "It cannot be signed yet" in page
    assert "The report can be signed as it is" not in page
    assert unprintable(build_findings(draft)) in page


def test_a_missing_logo_is_a_sentence(cast, job, client):
    scene.dress_shop(logo="shop/gone.png")
    draft = scene.reviewed(cast, job)
    client.force_login(cast.owner)
    for name in ("reports:preview", "reports:sign", "reports:job"):
        answer = client.get(reverse(name, args=[job.number]))
        assert answer.status_code == 200
        assert "logo is missing or cannot be read" in answer.content.decode(), name
    with pytest.raises(Refused, match="logo is missing"):
        scene.sign(cast.owner, draft)


# What the public page shows.


def test_a_paper_can_be_held_against_the_page_and_no_name_is_told(cast, job, issue):
    report = issue(job)
    told = dict(verdict_of(check_number(report.number, report.code)).compare)
    assert told["Codes listed, on arrival"].startswith(
        "Engine control unit (port), Apr 11, 2025, 786 h: SPN 110 FMI 0 active"
    )
    assert "Engine control unit (starboard): not scanned" in told["Codes listed, last"]
    assert told["Readings out of limits, all others"] == "Oil pressure, starboard: 38 psi, limits 40 to 65 psi"
    assert told["Serial numbers"] == "Port: NL-20417; Starboard: NL-20418"
    everything = " ".join(told.values())
    for private in (cast.customer.name, "Tomas", "thermostat", "Change the coolant"):
        assert private not in everything


class TestCorrectedByAnother:
    """A correction has two names on the paper, and a revision tells every difference."""

    @pytest.fixture
    def records(self, cast, job):
        before = story.scan(
            cast, 12.5, 789, [story.seen(story.OIL)], job=job, phase="delivery", raw="x", source="paste",
            not_understood=9,
        )  # fmt: skip
        draft = actions.draft_report(by=cast.tech, job=job)
        old = build_findings(draft)
        log_scan(
            by=cast.manager, unit=before.unit, phase="sea-trial", is_complete=True, codes=[story.seen(story.OIL)],
            job=job, engine_hours=Decimal(789), happened_at=before.entry.happened_at, amends=before.entry,
        )  # fmt: skip
        return old, build_findings(draft)

    def test_who_read_it_and_who_corrected_it(self, records):
        _, new = records
        assert (new.scans[-1].by, new.scans[-1].corrected_by) == ("Tomas Reef", "Mina Sparrow")
        assert "Tomas Reef, corrected by Mina Sparrow" in words_of(new)

    def test_a_revision_tells_all_of_it(self, records):
        old, new = records
        said = " ".join(differences(old, new))
        assert "lines not understood: 0, it was 9" in said
        assert "corrected by: “Mina Sparrow”" in said
        assert "sea trial" in said
        assert "by: “Tomas" not in said

    def test_readings_too(self, cast, job):
        wrong = Reading.objects.get(entry__engine=cast.port)
        log_reading(
            by=cast.manager, vessel=cast.vessel, engine=cast.port, parameter=wrong.parameter, value=Decimal(50),
            unit="psi", phase=wrong.phase, job=job, engine_hours=wrong.entry.engine_hours,
            happened_at=wrong.entry.happened_at, amends=wrong.entry,
        )  # fmt: skip
        found = build_findings(actions.draft_report(by=cast.tech, job=job))
        one = next(one for one in found.readings if one.value == 50)
        assert (one.by, one.corrected_by) == ("Tomas Reef", "Mina Sparrow")
        assert "corrected by Mina Sparrow" in words_of(found)


def _filled(field, value):
    """Some value of the field's kind, other than this one."""
    if field.name == "hin_found":
        return "not-read"
    if field.name == "unit":
        return "bar"
    if isinstance(value, bool):
        return not value
    if isinstance(value, Decimal | int):
        return value + 7
    if isinstance(value, date):
        return value + timedelta(days=400)
    return "Another word"


NAMED = [
    (part, field.name)
    for part, kind in [
        ("shop", record_forms.ShopFacts), ("customer", record_forms.CustomerFacts),
        ("vessel", record_forms.VesselFacts), ("inspection", record_forms.InspectionFacts),
        ("engines", record_forms.EngineFacts), ("units", record_forms.UnitFacts), ("scans", record_forms.ScanFacts),
        ("faults", record_forms.FaultFacts), ("readings", record_forms.ReadingFacts),
        ("work", record_forms.WorkFacts), ("lines", record_forms.LineFacts),
    ]
    for field in fields(kind)
    if field.name not in {"units", "time_zone", "owner", "changed_since", "first_at", "last_at", "is_correction"}
]  # fmt: skip


@pytest.mark.parametrize(("part", "name"), NAMED)
def test_a_revision_tells_every_field_in_plain_words(part, name):
    """Added, removed and changed are three things; a name of the program's own stands in no sentence."""
    full = replace(sample.record().findings, inspection=_inspection())
    first = getattr(full, part)[0] if isinstance(getattr(full, part), tuple) else getattr(full, part)
    field = next(one for one in fields(first) if one.name == name)
    was = getattr(first, name)
    if isinstance(was, tuple) or is_dataclass(was) or was in ("", None):
        return
    empty = "" if isinstance(was, str) else None

    def with_it(value):
        one = replace(first, **{name: value})
        return replace(full, **{part: one if getattr(full, part) is first else (one, *getattr(full, part)[1:])})

    other = with_it(_filled(field, was))
    told = {"changed": differences(full, other)}
    if isinstance(was, str) and field.default is MISSING and name not in {"unit", "verdict", "state"}:
        told |= {"added": differences(with_it(empty), full), "removed": differences(full, with_it(empty))}
    for what, said in told.items():
        assert said, (part, name, what)
        for sentence in said:
            assert "_" not in sentence
            assert "not-read" not in sentence
            assert "it was not given" not in sentence
            assert ": not given" not in sentence


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"remarks": ""}, "The remarks were removed."),
        ({"remarks": "New words."}, "The remarks were changed."),
        ({"summary": ""}, "The summary was removed."),
        ({"not_inspected": ()}, "The list of what was not inspected was removed."),
    ],
)
def test_a_text_of_the_report_was_changed_added_or_removed(changes, said):
    full = replace(sample.record().findings, summary="Old.", remarks="Old.", not_inspected=("The mast",))
    assert differences(full, replace(full, **changes)) == [said]
    if "" in changes.values() or () in changes.values():
        assert differences(replace(full, **changes), full) == [said.replace("removed", "added")]


def test_the_inspection_in_plain_words():
    one = replace(sample.record().findings, inspection=replace(_inspection(), hin_found="", place=""))
    other = replace(one, inspection=replace(_inspection(), hin_found="not-read"))
    assert differences(one, other) == [
        "Inspection, place: “Slip 3”; not given before.",
        "Inspection, HIN on the hull: not read on this job; not given before.",
    ]
    assert differences(other, one)[1] == "Inspection, HIN on the hull: removed; it was not read on this job."


def _inspection():
    return record_forms.InspectionFacts(
        place="Slip 3", afloat="Afloat", attended="The owner", inspected_on=date(2025, 6, 3), first_at=sample.at(0),
        last_at=sample.at(1), hin_found="matches",
    )  # fmt: skip


def test_the_same_hin_as_none_is_refused(cast, job):
    draft = actions.draft_report(by=cast.tech, job=job)
    found = {"hin_found": "matches"}
    job.vessel.hin = ""
    job.vessel.save()
    with pytest.raises(Refused) as refused:
        actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes=found)
    assert "No HIN of this boat is on record" in refused.value.fields["hin_found"]
    job.vessel.hin = "GBD12345A525"
    job.vessel.save()
    draft = ReportDraft.objects.get(pk=draft.pk)
    assert (
        actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes=found).hin_found == "matches"
    )
