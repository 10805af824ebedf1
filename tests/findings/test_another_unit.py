"""A unit whose serial number became another one: wherever an absence is told as a proof, that is told beside it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from files.paper.drawing import Stationery
from findings.reports import actions
from findings.reports.build import build_findings
from findings.reports.page_one import stands
from findings.reports.record import FORMAT, Record
from findings.reports.render import paper_html
from tests.asking import asked
from tests.findings.story import COOLANT, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import identify_unit, retract
from vessels.models import ControlUnit, Engine, Vessel
from vessels.queries.serials import serials_of

pytestmark = pytest.mark.django_db
SAID = (
    "unit’s serial number was logged as S1 on Apr 1, 2025 and S2 on Apr 4, 2025: scans since the first of these "
    "may be of another unit, and what another unit does not list is not proven gone."
)


def identify(cast, serial, day, **more):
    return identify_unit(by=cast.manager, unit=cast.port_unit, serial=serial, happened_at=at(day), **more)


def replaced(cast, *, second="S2"):
    """Seen by one box, worked on, and not listed by a box of another serial number, on one job."""
    job = open_job(cast)
    identify(cast, "S1", 0)
    scan(cast, 0.5, 700, [seen(COOLANT)], job=job)
    work(cast, 1, 701, [fault()], text="ECU replaced.", job=job)
    changed = identify(cast, second, 3)
    scan(cast, 3.5, 702, [], job=job, phase="after-repair")
    return job, changed


def pages(client, cast, job):
    client.force_login(cast.owner)
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    return {
        "fault": client.get(reverse("findings:fault", args=[fault().pk])),
        "faults of the boat": client.get(reverse("findings:vessel_faults", args=[cast.vessel.pk])),
        "job": client.get(reverse("findings:job", args=[job.number])),
        "repairs": client.get(reverse("findings:insight_repairs")),
    }, paper_html(Record(format=FORMAT, issue=None, findings=found), Stationery("letter"))


def words(page) -> str:
    return " ".join((page if isinstance(page, str) else page.content.decode()).split())


def test_it_is_said_wherever_the_absence_is_told(client, cast):
    job, _ = replaced(cast)
    assert fault().state == "historic"
    found, paper = pages(client, cast, job)
    for name, page in (*found.items(), ("paper", paper)):
        assert SAID in words(page), name
    findings = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert findings.faults[0].says.endswith(f"The {SAID}")
    assert stands(findings)[1].another == [f"Engine control unit (port): the {SAID}"]


@pytest.mark.parametrize("second", ["S1", "s 1"])
def test_one_serial_is_one_unit(client, cast, second):
    job, _ = replaced(cast, second=second)
    found, paper = pages(client, cast, job)
    for name, page in (*found.items(), ("paper", paper)):
        assert "may be of another unit" not in words(page), name


def test_an_identification_that_was_voided_is_no_change(client, cast):
    job, changed = replaced(cast)
    retract(by=cast.manager, entry=changed, reason="Another boat.")
    found, paper = pages(client, cast, job)
    for name, page in (*found.items(), ("paper", paper)):
        assert "may be of another unit" not in words(page), name


def test_a_code_that_only_the_new_box_had_is_told_plainly(client, cast):
    job = open_job(cast)
    identify(cast, "S1", 0)
    identify(cast, "S2", 3)
    scan(cast, 4, 702, [seen(OIL)], job=job)
    clear(cast, 5, 703, job=job)
    client.force_login(cast.owner)
    page = words(client.get(reverse("findings:fault", args=[fault(OIL).pk])))
    assert "may be of another unit" not in page
    findings = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert stands(findings)[1].another == []


def test_a_change_after_the_job_is_not_in_its_report(cast):
    job, _ = replaced(cast, second="S1")
    job.state, job.closed_at = "closed", at(10)
    job.save()
    identify(cast, "S9", 20)
    findings = build_findings(actions.draft_report(by=cast.tech, job=job))
    assert "may be of another unit" not in findings.faults[0].says
    assert stands(findings)[1].another == []


def test_it_is_said_of_a_sister_engine(client, cast):
    replaced(cast)
    boat = Vessel.objects.create(name="Ibis", owner=cast.customer)
    engine = Engine.objects.create(vessel=boat, family=cast.family, maker="Norrland", model="D6T")
    unit = ControlUnit.objects.create(vessel=boat, engine=engine)
    scan(cast, 30, 20, [seen(COOLANT)], unit=unit)
    client.force_login(cast.owner)
    page = words(client.get(reverse("findings:fault", args=[fault(unit=unit).pk])))
    assert f"The {SAID}" in page
    assert page.index("On sister engines") < page.index(f"The {SAID}")


def test_serials_are_one_question_for_any_number_of_units(cast):
    identify(cast, "S1", 0)
    with asked() as counted:
        assert list(serials_of([cast.port_unit.pk, cast.starboard_unit.pk])) == [cast.port_unit.pk]
        assert serials_of([]) == {}
    assert counted.queries == 1
