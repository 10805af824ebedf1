"""What belongs to the visit, and what is odd, as a surveyor reads it on paper."""

from __future__ import annotations

from decimal import Decimal

import pytest

from engineering.codes import Code, CodeSystem
from files.paper.drawing import Stationery
from findings.drawing.flags import flag_words
from findings.drawing.pictures import FlagState
from findings.drawing.templatetags.drawings import fault_flag
from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from findings.reports import actions
from findings.reports.build import build_findings
from findings.reports.record import FORMAT, Record
from findings.reports.render import paper_html
from tests.findings import story

MISFIRE = Code(CodeSystem.OBD, "P0307")


@pytest.mark.django_db
def test_a_clear_of_everything_makes_no_old_code_one_of_this_job(cast):
    """It was cleared months before, and was not there any more: the clear of this visit did nothing to it."""
    story.scan(cast, 0, 650, [story.seen(MISFIRE)])
    story.clear(cast, 1, 651)
    job = story.open_job(cast, day=300)
    story.scan(cast, 300, 680, [story.seen(story.COOLANT)], job=job)
    story.clear(cast, 300.1, 680.2, job=job)
    story.scan(cast, 300.2, 681, [], job=job, phase="sea-trial")
    facts = {one.code: one for one in build_findings(actions.draft_report(by=cast.tech, job=job)).faults}
    assert facts["P0307"].in_this_job is False
    assert facts["SPN 110 FMI 0"].in_this_job is True


@pytest.mark.django_db
def test_a_clear_that_names_a_code_makes_it_one_of_this_job(cast):
    story.scan(cast, 0, 650, [story.seen(MISFIRE)])
    story.clear(cast, 1, 651)
    job = story.open_job(cast, day=300)
    story.clear(cast, 300.1, 680.2, [story.fault(MISFIRE)], job=job)
    facts = build_findings(actions.draft_report(by=cast.tech, job=job)).faults
    assert [one.in_this_job for one in facts] == [True]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "kind", "value", "unit", "said"),
    [
        ("Engine speed", "speed of rotation", "62000", "rpm", "62000 rpm is far above the usual engine speed"),
        ("Oil pressure", "pressure", "48", "bar", "48 bar is far above the usual oil pressure"),
    ],
)
def test_a_value_that_is_odd_says_so_on_paper(cast, job, name, kind, value, unit, said):
    parameter, _ = Parameter.objects.get_or_create(name=name, defaults={"kind": kind, "position": 90})
    log_reading(
        by=cast.tech,
        vessel=cast.vessel,
        engine=cast.port,
        parameter=parameter,
        value=Decimal(value),
        unit=unit,
        job=job,
    )
    found = build_findings(actions.draft_report(by=cast.tech, job=job))
    page = paper_html(Record(format=FORMAT, issue=None, findings=found), Stationery("letter"))
    assert f"{said};" in " ".join(page.split())


def test_what_is_pending_is_not_called_active():
    assert flag_words(FlagState.ACTIVE, "pending") == "pending"
    assert flag_words(FlagState.ACTIVE, "active") == "active"
    assert flag_words(FlagState.RETURNED, "pending") == "returned · pending"
    assert ">pending<" in fault_flag("active", "pending")
    assert ">active<" in fault_flag("active", "active")
