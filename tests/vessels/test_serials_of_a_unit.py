"""A control unit whose serial number is another one: what its scans say may be of another unit."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from vessels.identity import SerialRead, another_unit_words


def at(day: int) -> datetime:
    return datetime(2025, 4, day, 12, tzinfo=UTC)


def read(*serials: tuple[str, int]) -> list[SerialRead]:
    return [SerialRead(serial, at(day)) for serial, day in serials]


@pytest.mark.parametrize(
    "reads",
    [(), (("S1", 2),), (("S1", 2), ("S1", 9)), (("S-1", 2), ("s 1", 9)), (("S1", 2), ("", 3), ("S1", 9))],
)
def test_one_serial_or_none_is_one_unit(reads):
    assert another_unit_words(read(*reads), since=at(1)) == ""


def test_another_serial_says_that_another_unit_may_have_been_read():
    said = another_unit_words(read(("S1", 2), ("S2", 6)), since=at(1))
    assert said == (
        "The unit’s serial number was logged as S1 on Apr 2, 2025 and S2 on Apr 6, 2025: "
        "scans since the first of these may be of another unit, "
        "and what another unit does not list is not proven gone."
    )


def test_the_last_time_that_the_old_serial_was_read_counts():
    said = another_unit_words(read(("S1", 2), ("S1", 4), ("S2", 6), ("S2", 8), ("S1", 9)), since=at(1))
    assert said.startswith(
        "The unit’s serial number was logged as S1 on Apr 4, 2025, S2 on Apr 6, 2025 and S1 on Apr 9, 2025: "
        "scans since the first of these may "
    )


def test_a_change_from_before_is_not_told():
    reads = read(("S1", 2), ("S2", 6), ("S3", 20))
    assert another_unit_words(reads, since=at(21)) == ""
    assert another_unit_words(reads, since=at(7)).startswith(
        "The unit’s serial number was logged as S2 on Apr 6, 2025 and S3 on Apr 20"
    )


def test_a_change_after_the_end_is_not_told():
    assert another_unit_words(read(("S1", 2), ("S2", 6)), since=at(1), until=at(5)) == ""


def test_many_changes_tell_the_first_and_the_last():
    said = another_unit_words(read(*((f"S{day}", day) for day in range(1, 9))), since=at(1))
    assert said.startswith(
        "The unit’s serial number was logged as S1 on Apr 1, 2025, S2 on Apr 2, 2025, "
        "5 others in between and S8 on Apr 8, 2025: "
    )


def test_a_change_on_one_day_leaves_no_scan_of_that_day_out():
    said = another_unit_words(read(("S1", 2), ("S2", 2)), since=at(1))
    assert said.startswith(
        "The unit’s serial number was logged as S1 on Apr 2, 2025 and S2 on Apr 2, 2025: scans since "
    )
