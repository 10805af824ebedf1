"""A value that cannot be, or seldom is, is told beside its row and not ticked beforehand."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest

from engineering.canlog import summarize
from findings.canlogs.choosing import value_rows
from findings.canlogs.preview import understand
from findings.canlogs.queries import LoggedFrom
from findings.canlogs.senders import targets_of
from shopfloor.demo.network import Motor, run_of
from tests.findings.canlogs.samples import BEGIN

USUAL = Motor(0, 0, 2000, 400, 80, 14, 1000)
NOTHING = LoggedFrom([], [])


def remark_of(parameter: str, *moments: Motor) -> tuple[str, bool]:
    """What the preview says of a parameter of the engine, and whether it is ticked beforehand."""
    text = run_of(BEGIN, [(one,) for one in moments])
    understood = understand(summarize(io.BytesIO(text.encode()), name="trip.log"), "metric")
    boat, _ = targets_of([], [])
    rows = value_rows(understood.values, None, usual=dict.fromkeys(understood.senders, boat), logged=NOTHING)
    (row,) = (one for one in rows if one.heard.named.parameter == parameter and one.heard.sender.source == 0)
    return row.remark, row.is_taken


@pytest.mark.parametrize(
    ("parameter", "sent", "says"),
    [
        ("Coolant temperature", {"coolant_c": 130}, ""),
        ("Coolant temperature", {"coolant_c": 131}, "131 °C is far above the usual coolant temperature; seldom above"),
        ("Coolant temperature", {"coolant_c": -45}, ""),
        ("Coolant temperature", {"coolant_c": -60}, "-60 °C is far below the usual coolant temperature; seldom below"),
        ("Coolant temperature", {"coolant_c": -273.15}, "-273.15 °C is beyond anything on a boat. Check the figure"),
        ("Coolant temperature", {"coolant_c": 375}, "375 °C is far above the usual coolant temperature"),
        ("Oil pressure", {"oil_kpa": 1500}, ""),
        ("Oil pressure", {"oil_kpa": 2000}, "2000 kPa is far above the usual oil pressure; seldom above 1500 kPa"),
        ("Oil pressure", {"oil_kpa": 0}, ""),
        ("Engine speed", {"rpm": 10000}, ""),
        ("Engine speed", {"rpm": 12000}, "12000 rpm is far above the usual engine speed; seldom above"),
        ("Charging voltage", {"volts": 28.4}, ""),
        ("Charging voltage", {"volts": 120}, "120 V is far above the usual battery voltage; seldom above"),
    ],
)
def test_an_odd_value_says_why_and_is_not_ticked(parameter, sent, says):
    remark, is_taken = remark_of(parameter, *[replace(USUAL, **sent)] * 6)
    assert (remark.startswith(says), bool(remark), is_taken) == (True, bool(says), not says)


@pytest.mark.parametrize("at", [0, 3, 5])
def test_one_odd_value_among_many_is_told_before_that_it_moved(at):
    moments = [USUAL] * 6
    moments[at] = replace(USUAL, coolant_c=300)
    assert remark_of("Coolant temperature", *moments) == (
        "300 °C is far above the usual coolant temperature; seldom above 130 °C.",
        False,
    )


def test_what_only_moved_is_told_as_such():
    moments = [replace(USUAL, oil_kpa=kpa) for kpa in (200, 300, 400, 500)]
    assert remark_of("Oil pressure", *moments)[0].startswith("It moved much over the log")
