"""What the paper calls what was aboard, what it puts back, and what became of a report: without a database."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from findings.reports import aboard
from findings.reports.aboard import Aboard, engine_names, unit_names
from findings.reports.models import IssuedReport, ReportWithdrawal
from findings.reports.report_status import ReportStatus, status_of
from vessels.models import ControlUnit, Engine, Vessel
from workorders.models import Job


def engine(key: int, position: str, **facts: Any) -> Engine:
    return Engine(pk=key, position=position, **facts)


def test_an_engine_is_called_by_its_position() -> None:
    assert engine_names([engine(4, "port"), engine(5, "starboard")]) == {4: "Port", 5: "Starboard"}


def test_engines_of_one_position_are_numbered_and_one_taken_out_says_so() -> None:
    engines = [engine(4, "port"), engine(5, "generator"), engine(6, "port"), engine(7, "generator")]
    assert engine_names(engines) == {4: "Port 1", 5: "Generator 1", 6: "Port 2", 7: "Generator 2"}
    assert engine_names(engines, {4}) == {4: "Port, removed", 5: "Generator 1", 6: "Port", 7: "Generator 2"}


def test_a_unit_is_called_by_its_name_and_engine() -> None:
    units = [
        ControlUnit(pk=1, name="Engine control unit", engine_id=4),
        ControlUnit(pk=2, name="Engine control unit", engine_id=5),
        ControlUnit(pk=3, name="Gateway"),
        ControlUnit(pk=4, name="Gauge", engine_id=9),
        ControlUnit(pk=5, name="Gateway"),
        ControlUnit(pk=6, name="Gateway"),
    ]
    assert unit_names(units, {4: "Port", 5: "Starboard, removed"}, removed_by=date(2026, 11, 1)) == {
        1: "Engine control unit (port)",
        2: "Engine control unit (starboard, removed)",
        3: "Gateway 1",
        4: "Gauge",
        5: "Gateway 2",
        6: "Gateway 3",
    }


def test_no_unit_is_given_the_name_that_another_has_of_itself() -> None:
    """Two by the name “ECM” beside one that somebody called “ECM 1”: three names, or one was scanned for the other."""
    named = [ControlUnit(pk=key, name=name) for key, name in enumerate(["ECM", "ECM 1", "ECM", "ECM 3", "ECM"])]
    names = unit_names(named, {}, removed_by=date(2026, 11, 1))
    assert names == {0: "ECM 2", 1: "ECM 1", 2: "ECM 4", 3: "ECM 3", 4: "ECM 5"}


def changes(*rows: dict[str, tuple[str, str]]) -> Any:
    return [SimpleNamespace(changes=row) for row in rows]


def test_what_may_change_is_put_back_to_what_stood_there_before_the_first_later_change() -> None:
    port = engine(4, "port", propeller="23 × 24", gear_ratio=Decimal("1.75"))
    told = aboard._put_back(
        port,
        changes(
            {"Serial number": ("A", "B")},
            {"Propeller": ("21 × 22", "22 × 23")},
            {"Propeller": ("22 × 23", "23 × 24"), "Gear ratio": ("1.50", "1.75")},
        ),
    )
    assert (port.propeller, port.gear_ratio) == ("21 × 22", Decimal("1.50"))
    assert told == ("Propeller: “23 × 24” today", "Gear ratio: “1.75” today")


def test_what_is_not_on_record_today_or_was_not_then() -> None:
    port = engine(4, "port", propeller="", gear_ratio=None)
    told = aboard._put_back(port, changes({"Propeller": ("21 × 22", ""), "Gear ratio": ("2", "")}))
    assert (port.propeller, port.gear_ratio) == ("21 × 22", Decimal(2))
    assert told == ("Propeller: not on record today", "Gear ratio: not on record today")
    port = engine(4, "port", propeller="23 × 24", gear_ratio=Decimal("1.75"))
    told = aboard._put_back(port, changes({"Propeller": ("", "23 × 24"), "Gear ratio": ("", "1.75")}))
    assert (port.propeller, port.gear_ratio) == ("", None)
    assert told == ("Propeller: “23 × 24” today", "Gear ratio: “1.75” today")


def test_what_was_changed_and_changed_back_is_no_change() -> None:
    port = engine(4, "port", propeller="23 × 24", gear_ratio=None)
    assert aboard._put_back(port, changes({"Propeller": ("23 × 24", "")}, {"Propeller": ("", "23 × 24")})) == ()
    assert aboard._put_back(port, changes({"Gear ratio": ("", "2")}, {"Gear ratio": ("2", "")})) == ()
    assert (port.propeller, port.gear_ratio) == ("23 × 24", None)


def test_a_boat_gets_its_name_and_registration_back_and_nothing_else() -> None:
    vessel = Vessel(name="Third Wind", registration="FL 2222", color="blue")
    told = aboard._put_back(
        vessel,
        changes(
            {"Name": ("Second Wind", "Third Wind"), "Registration number": ("FL 1111", "FL 2222"), "Color": ("red", "")}
        ),
    )
    assert (vessel.name, vessel.registration, vessel.color) == ("Second Wind", "FL 1111", "blue")
    assert told == ("Name: “Third Wind” today", "Registration number: “FL 2222” today")


@pytest.mark.parametrize(
    ("now", "before", "stored"),
    [
        ("x", "", ""),
        ("", "21 × 22", "21 × 22"),
        (None, "1.5", Decimal("1.5")),
        (Decimal(2), "", None),
        (Decimal(2), "two to one", Decimal(2)),
    ],
)
def test_a_value_of_the_log_is_put_back_in_the_type_of_its_column(now: Any, before: str, stored: Any) -> None:
    assert aboard._as_stored(now, before) == stored


class Rows:
    """Stands in for rows that are asked."""

    def __init__(self) -> None:
        self.asked: list[dict[str, Any]] = []

    def filter(self, **told: Any) -> Rows:
        self.asked.append(told)
        return self


def test_rows_of_an_open_job_have_no_end() -> None:
    end = datetime(2026, 4, 1, tzinfo=UTC)
    rows = Rows()
    given: Any = rows
    open_still = Aboard(job=Job(), end=None, engines=(), names={}, taken_out={})
    assert open_still.by_the_end(given) is given
    assert rows.asked == []
    ended = Aboard(job=Job(), end=end, engines=(), names={}, taken_out={})
    ended.by_the_end(given)
    ended.by_the_end(given, "entry__happened_at")
    assert rows.asked == [{"happened_at__lte": end}, {"entry__happened_at__lte": end}]


def test_what_became_of_a_report_is_one_word() -> None:
    report, successor, withdrawal = IssuedReport(number="1032-1"), IssuedReport(number="1032-2"), ReportWithdrawal()
    standing = [
        (ReportStatus(report, None, None), "issued", True),
        (ReportStatus(report, None, successor), "superseded by 1032-2", False),
        (ReportStatus(report, withdrawal, None), "withdrawn", False),
        (ReportStatus(report, withdrawal, successor), "withdrawn", False),
    ]
    assert [(row.word, row.is_effective) for row, _, _ in standing] == [(word, stands) for _, word, stands in standing]


def test_the_standing_of_a_report_is_read_off_what_refers_to_it() -> None:
    report: Any = SimpleNamespace(number="1032-1")
    assert status_of(report) == ReportStatus(report, None, None)
    report.withdrawal, report.superseded_by = object(), object()
    assert status_of(report) == ReportStatus(report, report.withdrawal, report.superseded_by)
