"""Serial numbers in a range, judged as a parts counter would; where it would ask back, nothing is said."""

from __future__ import annotations

import pytest

from engineering.serials import are_in_order, is_in_range


@pytest.mark.parametrize(
    ("serial", "first", "last", "said"),
    [
        ("NL-20417", "NL-20400", "NL-20999", True),
        ("NL-20400", "NL-20400", "NL-20999", True),
        ("NL-20999", "NL-20400", "NL-20999", True),
        ("NL-21000", "NL-20400", "NL-20999", False),
        ("NL-9999", "NL-20400", "NL-20999", False),  # a smaller number, though "9" comes after "2" in the alphabet
        ("nl 20417", "NL-20400", "NL20999", True),
        ("NL-020417", "NL-20400", "NL-20999", True),
        ("20417", "20400", "20999", True),
        ("6M-1023-55", "6M-1023-10", "6M-1023-99", True),
        ("6M 1023-5", "6M-1023-10", "6M-1023-99", False),
        ("NL-50000", "NL-20400", "", True),
        ("NL-100", "NL-20400", "", False),
        ("NL-100", "", "NL-20999", True),
        # what cannot be told
        ("20417", "NL-20400", "NL-20999", None),  # letters forgotten, or another series
        ("6M-1024-55", "6M-1023-10", "6M-1023-99", None),  # another group before it: a year, a place, or a number
        ("6M102355", "6M-1023-10", "6M-1023-99", None),
        ("KX-20417", "NL-20400", "NL-20999", None),
        ("NL-20417-B", "NL-20400", "NL-20999", None),
        ("NL-20417B", "NL-20400", "NL-20999", None),
        ("", "NL-20400", "NL-20999", None),
        ("unreadable", "NL-20400", "NL-20999", None),
        ("NL-2041?", "NL-20400", "NL-20999", None),
        ("NL-20417", "", "", None),
        ("NL-20417", "from 20400", "NL-20999", None),
        ("NL-" + "9" * 40, "NL-20400", "NL-20999", None),
    ],
)
def test_a_serial_number_is_in_a_range_where_that_is_certain(
    serial: str, first: str, last: str, said: bool | None
) -> None:
    assert is_in_range(serial, first, last) is said


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("NL-20400", "NL-20999", True),
        ("NL-20400", "NL-20400", True),
        ("NL-20999", "NL-20400", False),
        ("NL-20400", "KX-20999", False),
        ("all", "NL-20400", False),
    ],
)
def test_ends_are_of_one_series_and_in_order(first: str, last: str, said: bool) -> None:
    assert are_in_order(first, last) is said
