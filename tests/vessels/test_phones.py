"""What a link of a phone number dials."""

from __future__ import annotations

import pytest

from vessels.phones import to_call


@pytest.mark.parametrize(
    ("number", "digits", "dials"),
    [
        ("(555) 555-0123", "+15555550123", "+15555550123"),
        ("(555) 555-0123 ext. 12", "+15555550123", "+15555550123;ext=12"),
        ("555-0177", "+15550177", "5550177"),
        ("555-0177 ext. 4", "+15550177", "5550177;ext=4"),
        ("+44 20 7946 0958", "+442079460958", "+442079460958"),
        ("+47 55 50 17", "+47555017", "+47555017"),
        ("harbor office", "harbor office", "harbor office"),
    ],
)
def test_a_number_without_its_area_is_dialed_as_it_was_written(number: str, digits: str, dials: str) -> None:
    assert to_call(number, digits) == dials
