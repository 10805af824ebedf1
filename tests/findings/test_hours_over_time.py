"""The hours of an engine are listed whatever told them, each with what that was."""

from __future__ import annotations

from decimal import Decimal

from django.urls import reverse

from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from tests.findings.story import COOLANT, at, clear, scan, seen
from vessels.actions import log_hours, retract, write_note
from vessels.queries.hours_over_time import hours_over_time


def pressure(cast, job, day, hours, **more):
    parameter, _ = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=parameter, value=Decimal(50), unit="psi", job=job,
        engine_hours=None if hours is None else Decimal(hours), happened_at=at(day), phase="arrival", **more,
    )  # fmt: skip


def lines(cast):
    return [(row.source, row.shown.entry.engine_hours, row.since) for row in hours_over_time(cast.port).rows]


def test_hours_are_listed_whatever_told_them(cast, job, tech, django_assert_max_num_queries):
    log_hours(by=cast.desk, engine=cast.port, shown=Decimal(100), happened_at=at(0))
    scan(cast, 1, 101, [seen(COOLANT)], job=job, raw="SPN 110 FMI 0", source="paste")
    pressure(cast, job, 1.01, "101")
    pressure(cast, job, 1.02, "101", file_sha256="ab" * 32)
    pressure(cast, job, 1.03, "101")
    clear(cast, 1.04, 101.4, job=job)
    pressure(cast, job, 2, None)  # nobody read the hours
    wrong = scan(cast, 3, 140, [], job=job)
    scan(cast, 3.5, 120, [], job=job, amends=wrong.entry)
    voided = write_note(by=cast.tech, vessel=cast.vessel, engine=cast.port, text="At the dock.", happened_at=at(4),
                        engine_hours=Decimal(130))  # fmt: skip
    retract(by=cast.tech, entry=voided, reason="Of the other engine.")
    scan(cast, 5, 900, [], unit=cast.starboard_unit)
    assert lines(cast) == [
        ("note", Decimal(130), None),
        ("scan", Decimal(120), Decimal("18.6")),
        ("scan", Decimal(140), None),
        ("codes cleared", Decimal("101.4"), Decimal("0.4")),
        ("scan from a pasted text, reading (2), reading from a CAN log", Decimal(101), Decimal(1)),
        ("hour meter read", Decimal(100), None),
    ]
    with django_assert_max_num_queries(25):
        page = tech.get(reverse("vessels:hours", args=[cast.port.pk])).content.decode()
    assert page.count("<s>") == 2
    assert "Scan from a pasted text, reading (2), reading from a CAN log" in page
    assert f'href="{reverse("findings:job", args=[job.number])}"' in page or f">{job.number}<" in page


def test_lines_of_one_day_stay_apart_by_job_and_by_hours(cast, job):
    scan(cast, 1, 101, [], job=job)
    pressure(cast, None, 1.01, "101")
    pressure(cast, job, 1.02, "101")
    pressure(cast, job, 1.03, "101.5")
    assert [source for source, *_ in lines(cast)] == ["reading", "reading", "reading", "scan"]
