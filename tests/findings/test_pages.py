"""The pages that show faults: what they say, and that they cost the same however much there is to show."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from engineering.codes import Code, CodeSystem
from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from tests.findings.story import COOLANT, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import remove_unit
from vessels.models import ControlUnit, Engine, Vessel


@pytest.fixture
def history(cast, job):
    """A fault that came back twice, one that held, and a partial scan at the end."""
    scan(cast, 0, 100, [seen(COOLANT, "active", 3), seen(OIL, "stored")], job=job)
    work(cast, 0.1, 100, [fault(COOLANT)], "Replaced the impeller.", job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 0.3, 100.5, phase="after-repair", job=job)
    second = open_job(cast, 40)
    scan(cast, 40, 184, [seen(COOLANT)], job=second)
    clear(cast, 40.1, 184, job=second)
    scan(cast, 41, 186, [], phase="sea-trial", job=second)
    third = open_job(cast, 80)
    scan(cast, 80, 230, [seen(COOLANT, "stored")], job=third)
    scan(cast, 81, 231, [seen(OIL)], complete=False, phase="after-repair", job=third)
    return job, second, third


def sister(cast, name="Marguerite"):
    boat = Vessel.objects.create(name=name, owner=cast.customer)
    engine = Engine.objects.create(vessel=boat, family=cast.family, maker="Norrland", model="D6T-330")
    unit = ControlUnit.objects.create(vessel=boat, engine=engine)
    scan(cast, 1, 400, [seen(COOLANT)], unit=unit)
    found = fault(COOLANT, unit)
    from findings.faults.actions import log_work
    from tests.findings.story import at

    log_work(
        by=cast.manager, vessel=boat, faults=[found], text="Raw-water hose collapsed inside: ", happened_at=at(1.1)
    )
    clear(cast, 1.2, 400, unit=unit)
    scan(cast, 100, 460, unit=unit)
    return found


def test_a_vessels_faults_are_drawn_and_told(tech, cast, history):
    page = tech.get(f"/vessels/{cast.vessel.pk}/faults/")
    body = page.content.decode()
    assert page.status_code == 200
    assert "<svg" in body
    assert [one.fault.label for one in page.context["faults"]] == ["SPN 100 FMI 1", "SPN 110 FMI 0"]
    for words in ("84 h · 40 days", "46 h · 40 days", "Replaced the impeller.", "Faults of the port engine over"):
        assert words in body
    lanes = page.context["lanes"][0].picture.lanes
    assert [(bar.start, bar.end) for bar in lanes[1].bars] == [(100.0, 100.0), (184.0, 184.0), (230.0, None)]
    assert [(loop.ended_at, loop.returned_at, loop.gap) for loop in lanes[1].returns] == [
        (100.0, 184.0, "84 h"),
        (184.0, 230.0, "46 h"),
    ]
    assert [(hold.start, hold.end) for hold in lanes[1].holds] == [(100.0, 100.5), (184.0, 186.0)]
    assert [rule.number for rule in page.context["lanes"][0].picture.jobs] == [str(job.number) for job in history]


def test_faults_can_be_narrowed(tech, cast, history):
    scan(cast, 1, 50, [seen(OIL)], unit=cast.starboard_unit)
    clear(cast, 2, 50, unit=cast.starboard_unit)
    url = f"/vessels/{cast.vessel.pk}/faults/"
    everything = tech.get(url).context
    assert (len(everything["faults"]), len(everything["lanes"])) == (3, 2)
    assert len(tech.get(url, {"show": "open"}).context["faults"]) == 2
    assert len(tech.get(url, {"engine": cast.starboard.pk}).context["faults"]) == 1
    assert tech.get(url, {"engine": cast.starboard.pk, "show": "open"}).context["faults"] == []
    assert len(tech.get(url, {"engine": "x", "show": "?"}).context["faults"]) == 3


def test_a_vessel_without_faults_says_where_they_come_from(tech, cast):
    assert "Faults come from scans" in tech.get(f"/vessels/{cast.vessel.pk}/faults/").content.decode()


def test_dates_stand_in_for_unknown_hours(tech, cast):
    scan(cast, 0, None, [seen(COOLANT)])
    clear(cast, 1, None)
    scan(cast, 31, None, [seen(COOLANT)])
    page = tech.get(f"/vessels/{cast.vessel.pk}/faults/")
    assert page.context["lanes"][0].picture.axis.value == "dates"
    assert "30 days" in page.content.decode()


def test_an_episode_without_hours_is_named_in_its_lane(tech, cast):
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL)])
    clear(cast, 1, 101)
    scan(cast, 9, None, [seen(COOLANT)])
    lane = next(
        lane for lane in tech.get(f"/vessels/{cast.vessel.pk}/faults/").context["lanes"][0].picture.lanes if lane.note
    )
    assert (lane.code, lane.note, len(lane.bars)) == ("SPN 110 FMI 0", "1 episode without hours", 1)


def test_a_faults_own_page_tells_its_whole_life(tech, cast, history):
    sister(cast)
    page = tech.get(f"/faults/{fault(COOLANT, cast.port_unit).pk}/")
    body = page.content.decode()
    assert page.status_code == 200
    for words in (
        "Returned · stored",
        "it has returned 2 times",
        "Replaced the impeller.",
        "Raw-water hose collapsed inside: held, 60 h",
        "held, 60 h",
        "Tomas Reef",
        "Not listed in a complete scan",
        f"/jobs/{history[0].number}/findings/",
        "The engine maker&#x27;s current manual",
    ):
        assert words in body
    assert len(page.context["evidence"]) == 8
    comeback = "comeback: within the hold time after our repair"
    assert comeback not in body  # the second job only cleared it
    work(cast, 40.05, 184, [fault(COOLANT, cast.port_unit)], "Flushed the cooler.", job=history[1])
    assert comeback in tech.get(f"/faults/{fault(COOLANT, cast.port_unit).pk}/").content.decode()


def test_evidence_taken_back_is_shown_struck_out(tech, cast):
    wrong = scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 1, 101, [seen(COOLANT)])
    from vessels.actions import retract

    retract(by=cast.manager, entry=wrong.entry, reason="Wrong boat")
    page = tech.get(f"/faults/{fault().pk}/")
    assert [one.counts for one in page.context["evidence"]] == [True, False]
    assert "no longer counts" in page.content.decode()


def test_a_fault_without_any_evidence_left_still_has_its_page(tech, cast):
    wrong = scan(cast, 0, 100, [seen(COOLANT)])
    from vessels.actions import retract

    retract(by=cast.manager, entry=wrong.entry, reason="Wrong boat")
    page = tech.get(f"/faults/{fault().pk}/")
    assert page.status_code == 200
    assert "Never seen" in page.content.decode()
    assert tech.get(f"/vessels/{cast.vessel.pk}/faults/").context["faults"] == []


def test_a_permanent_copy_is_explained(tech, cast):
    code = Code(CodeSystem.OBD, "P0217")
    scan(cast, 0, 100, [seen(code)])
    clear(cast, 1, 101)
    scan(cast, 2, 102, [seen(code, "permanent")])
    assert fault(code).state == "cleared"
    assert "A permanent copy" in tech.get(f"/faults/{fault(code).pk}/").content.decode()


def test_long_evidence_comes_in_pages_and_none_is_lost(tech, cast):
    for day in range(60):
        scan(cast, day, 100 + day, [seen(COOLANT)])
    url = f"/faults/{fault().pk}/"
    first = tech.get(url)
    second = tech.get(url, {"older_than": first.context["older"]})
    keys = [one.pk for page in (first, second) for one in page.context["evidence"]]
    assert (len(keys), len(set(keys)), second.context["older"]) == (60, 60, "")
    assert tech.get(url, {"older_than": "x"}).status_code == 200


def test_before_and_after_on_a_job(tech, cast, history):
    first, _, third = history
    page = tech.get(f"/jobs/{first.number}/findings/")
    body = page.content.decode()
    assert "2 gone." in body
    unit = page.context["findings"].units[0]
    assert [(row.fault.fault.label, row.compared.change.value) for row in unit.rows] == [
        ("SPN 100 FMI 1", "gone"),
        ("SPN 110 FMI 0", "gone"),
    ]
    body = tech.get(f"/jobs/{third.number}/findings/").content.decode()
    assert "cannot be compared" in body
    assert "not proven gone" in body
    assert "came back" in body


def test_readings_of_the_job_stand_beside_its_codes(tech, cast, job):
    pressure = Parameter.objects.get_or_create(name="Fuel rail pressure", kind="pressure")[0]
    log_reading(
        by=cast.tech,
        vessel=cast.vessel,
        engine=cast.port,
        parameter=pressure,
        value=Decimal("43.5"),
        unit="psi",
        job=job,
    )
    body = tech.get(f"/jobs/{job.number}/findings/").content.decode()
    assert "Fuel rail pressure" in body
    assert "43.5 psi" in body
    assert "Log the arrival scan first" not in body


def test_one_scan_alone_asks_for_the_second(tech, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    assert "Log the scan after the repair" in tech.get(f"/jobs/{job.number}/findings/").content.decode()


def test_a_job_without_findings_says_what_to_do_first(tech, job):
    assert "Log the arrival scan first" in tech.get(f"/jobs/{job.number}/findings/").content.decode()


def test_a_scan_taken_back_leaves_the_comparison(tech, cast, job):
    from vessels.actions import retract

    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    wrong = scan(cast, 1, 100, [], job=job, phase="after-repair")
    retract(by=cast.manager, entry=wrong.entry, reason="Wrong engine")
    findings = tech.get(f"/jobs/{job.number}/findings/").context["findings"]
    assert findings.units[0].after is None
    assert [one.is_effective for one in findings.done] == [False, True]


def test_open_faults_stand_on_the_vessels_overview(tech, cast, history):
    body = tech.get(f"/vessels/{cast.vessel.pk}/").content.decode()
    assert "Open faults" in body
    assert "SPN 110 FMI 0" in body


def test_the_log_page_renders_every_kind(tech, cast, history):
    scan(cast, 82, 232, [seen(OIL)], raw="SPN 100 FMI 1", source="paste", not_understood=2, instrument="Reader")
    clear(cast, 83, 233, [fault(OIL)])
    work(cast, 84, 233, [fault(OIL)], job=history[0], line=history[0].lines.get())
    body = tech.get(f"/vessels/{cast.vessel.pk}/log/").content.decode()
    for words in ("The text as it was pasted", "2 lines of the pasted text were not understood", "Alarm sounds above"):
        assert words in body


@pytest.mark.parametrize(
    "path", ["/faults/999999/", "/vessels/999999/faults/", "/jobs/999999/findings/", "/jobs/999999/scan/"]
)
def test_what_is_not_there_is_404(tech, path):
    assert tech.get(path).status_code == 404


def more(cast, job, first_spn, first_day, boats):
    """Several codes that return several times, and sister engines with the same code."""
    codes = [Code(CodeSystem.SPN, f"{spn}-3") for spn in range(first_spn, first_spn + 10)]
    for day in range(first_day, first_day + 4):
        scan(cast, day, 200 + day, [seen(code) for code in codes] + [seen(COOLANT)], job=job)
        work(cast, day + 0.1, 200 + day, [fault(codes[0]), fault(COOLANT, cast.port_unit)], job=job)
        clear(cast, day + 0.2, 200 + day, job=job)
    scan(cast, first_day + 5, 205 + first_day, [seen(codes[1])], job=job)
    for name in boats:
        sister(cast, name)


SIZED = [
    "/vessels/{vessel}/faults/", "/faults/{fault}/", "/jobs/{job}/findings/", "/jobs/{job}/scan/", "/jobs/{job}/clear/",
    "/jobs/{job}/work/", "/vessels/{vessel}/", "/units/{unit}/code/?code=110-0",
]  # fmt: skip


def test_pages_cost_the_same_at_any_size(tech, cast, job):
    more(cast, job, 500, 100, ["Ada"])
    keys = {"vessel": cast.vessel.pk, "job": job.number, "unit": cast.port_unit.pk}
    addresses = [path.format(fault=fault(COOLANT, cast.port_unit).pk, **keys) for path in SIZED]

    def costs() -> dict[str, int]:
        found = {}
        for address in addresses:
            tech.get(address)
            with CaptureQueriesContext(connection) as spent:
                assert tech.get(address).status_code == 200
            found[address] = len(spent)
        return found

    few = costs()
    more(cast, job, 600, 110, ["Bea", "Cleo", "Dot"])
    assert costs() == few


def test_a_code_of_the_unit_before_is_named_on_the_page_of_the_new_ones(tech, cast):
    from findings.faults.models import Fault
    from vessels.actions import add_unit, remove_unit

    scan(cast, 0, 100, [seen(COOLANT)])
    remove_unit(by=cast.manager, unit=cast.port_unit, happened_at=at(1))
    new = add_unit(by=cast.manager, vessel=cast.vessel, engine=cast.port, name=cast.port_unit.name, happened_at=at(1.1))
    scan(cast, 2, 110, [seen(COOLANT), seen(OIL)], unit=new)
    page = tech.get(reverse("findings:fault", args=[Fault.objects.get(unit=new, code="110-0").pk])).content.decode()
    assert f"The same code is on record of {new}, removed as well" in page
    other = tech.get(reverse("findings:fault", args=[Fault.objects.get(unit=new, code="100-1").pk])).content.decode()
    assert "The same code" not in other
    old = tech.get(reverse("findings:fault", args=[Fault.objects.get(unit=cast.port_unit).pk])).content.decode()
    assert f"The same code is on record of {new} as well" in old
    assert f"{new}, removed" in old


def test_what_a_unit_had_when_it_was_removed_is_not_open_on_the_boat(tech, cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    faults, boat = f"/vessels/{cast.vessel.pk}/faults/", f"/vessels/{cast.vessel.pk}/"
    assert tech.get(faults).context["open_count"] == 1
    remove_unit(by=cast.manager, unit=cast.port_unit)
    assert tech.get(faults).context["open_count"] == 0
    assert tech.get(faults, {"show": "open"}).context["faults"] == []
    assert [one.fault.label for one in tech.get(faults).context["faults"]] == ["SPN 110 FMI 0"]
    told = tech.get(boat).content.decode()
    assert "No fault of a unit that is aboard is open." in told
    assert "1 fault stood open in a unit when it was removed." in told
