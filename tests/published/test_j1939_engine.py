"""J1939 engine messages as canboat's published samples have them, read as a whole log.

Samples and values: canboat (Apache-2.0), analyzer/tests/j1939-scaling, j1939-temperature, j1939-offset-sentinels and
j1939-pgn-test (a real log of 2023), .in and .out, versions of October 2026 unless said otherwise.
"""

import io
from decimal import Decimal

import pytest

from engineering.canlog import summarize
from engineering.measures import convert

ROWS = [
    # j1939-scaling: 1000.0 rpm
    ("0CF00400", "F0 7D 96 40 1F FF FF 64", "engine-speed", "rpm", "1000"),
    # j1939-pgn-test: printed 113.2 and 1500.0 rpm
    ("0CF00400", "FF FF FF 8A 03 FF FF FF", "engine-speed", "rpm", "113.25"),
    ("0CF00400", "FF FF FF E0 2E FF FF FF", "engine-speed", "rpm", "1500"),
    # j1939-temperature: coolant 50, fuel −40, oil 100.0000 °C; j1939-offset-sentinels: coolant 85, fuel 40 °C
    ("18FEEE00", "5A 00 A0 2E FF FF FF FF", "engine-temperature", "degC", "50"),
    ("18FEEE00", "5A 00 A0 2E FF FF FF FF", "engine-fuel-temperature", "degC", "-40"),
    ("18FEEE00", "5A 00 A0 2E FF FF FF FF", "engine-oil-temperature", "degC", "100"),
    ("18FEEE00", "7D 50 FF FF FF FF FF FF", "engine-temperature", "degC", "85"),
    ("18FEEE00", "7D 50 FF FF FF FF FF FF", "engine-fuel-temperature", "degC", "40"),
    # j1939-temperature: not available and −273 °C
    ("18FEEE00", "FF FE 00 00 FD FF FF FF", "engine-temperature", "degC", None),
    ("18FEEE00", "FF FE 00 00 FD FF FF FF", "engine-fuel-temperature", "degC", None),
    ("18FEEE00", "FF FE 00 00 FD FF FF FF", "engine-oil-temperature", "degC", "-273"),
    # j1939-scaling: fuel 6.000 bar, oil level 100 %, oil 3.200 bar, coolant 2.000 bar and 80 %
    ("18FEEF00", "96 FF FA 50 40 7D 64 C8", "engine-fuel-pressure", "bar", "6"),
    ("18FEEF00", "96 FF FA 50 40 7D 64 C8", "engine-oil-level", "%", "100"),
    ("18FEEF00", "96 FF FA 50 40 7D 64 C8", "engine-oil-pressure", "bar", "3.2"),
    ("18FEEF00", "96 FF FA 50 40 7D 64 C8", "engine-coolant-pressure", "bar", "2"),
    ("18FEEF00", "96 FF FA 50 40 7D 64 C8", "engine-coolant-level", "%", "80"),
    # j1939-scaling: fuel level 24.0 %, from address 23
    ("18FEFC17", "FF 3C FF FF FF FF FF FF", "fuel-level", "%", "24"),
    # j1939-pgn-test: throttle 6.8 %, battery 10.70 and 12.05 V, air inlet 1.000 and 0.540 bar
    ("18FEF200", "FF FF FF FF FF FF 11 FF", "throttle-position", "%", "6.8"),
    ("18FEF700", "FF FF FF FF D6 00 FF FF", "battery-voltage", "V", "10.70"),
    ("18FEF700", "FF FF FF FF F1 00 FF FF", "battery-voltage", "V", "12.05"),
    ("18FEF600", "FF FF 3D 32 FF FF FF FF", "air-inlet-pressure", "bar", "1"),
    ("18FEF600", "FF FF 3D 1B FF FF FF FF", "air-inlet-pressure", "bar", "0.54"),
]


def _summary(can_id: str, data: str):
    line = f"  can0  {can_id}   [8]  {data}\n"
    return summarize(io.BytesIO(line.encode()), name="sample.log")


@pytest.mark.parametrize(("can_id", "data", "key", "unit", "expected"), ROWS)
def test_an_engine_parameter(can_id, data, key, unit, expected):
    span = next(one for one in _summary(can_id, data).parameters if one.key == key)
    value = None if span.first is None else convert(span.first, span.unit, unit)
    assert value == (None if expected is None else Decimal(expected))
    assert span.source == int(can_id[-2:], 16)


def test_a_whole_degree_is_counted_from_forty_below():
    # trap: a version of 2024 prints 20.85 °C for 3E, having 233 K for −40 °C; that of October 2026 gives raw − 40
    span = _summary("18FEEE00", "3E FF FF FF FF FF FF FF").parameters[0]
    assert span.first == 22


@pytest.mark.parametrize(
    ("raw", "counted"),
    [("FF", "not_available"), ("FE", "in_error"), ("FD", "reserved"), ("FB", "reserved"), ("FA", "count")],
)
def test_the_highest_bytes_of_j1939(raw, counted):
    # SAE J1939-71, from memory. canboat differs for FB and FC: it prints 212 °C for FC (j1939-offset-sentinels)
    span = _summary("18FEEE00", f"{raw} FF FF FF FF FF FF FF").parameters[0]
    assert [name for name in ("not_available", "in_error", "reserved", "count") if getattr(span, name)] == [counted]


@pytest.mark.parametrize(
    ("raw", "counted"), [("00 FF", "not_available"), ("FF FE", "in_error"), ("00 FB", "reserved"), ("FF FA", "count")]
)
def test_the_highest_words_of_j1939(raw, counted):
    # FF00 not available and FE00 in error for two bytes: an engine maker's published J1939 interface; rest from memory
    span = _summary("0CF00400", f"FF FF FF {raw} FF FF FF").parameters[0]
    assert [name for name in ("not_available", "in_error", "reserved", "count") if getattr(span, name)] == [counted]


def test_no_fault_is_said_outright():
    # j1939-pgn-test: all lamps off, SPN 0, FMI 0
    (unit,) = _summary("18FECA00", "00 FF 00 00 00 00 FF FF").units
    assert (unit.messages, unit.without_code, unit.ends_without_code) == (1, 1, True)


def test_a_code_with_its_lamp():
    # j1939-scaling: malfunction indicator lamp on; SPN 100, FMI 1, count 3
    summary = _summary("18FECA00", "40 FF 64 00 01 03 FF FF")
    assert [(code.code.text, code.count, code.status) for code in summary.codes] == [("100-1", 3, "active")]
    assert [status.key for status in summary.statuses] == ["malfunction-indicator-lamp"]


def test_an_spn_of_nineteen_bits():
    # j1939-scaling: SPN low 61440, high 7, FMI 2, count 5: 7 × 65536 + 61440 = 520192
    (code,) = _summary("18FECA00", "00 FF 00 F0 E2 05 FF FF").codes
    assert (code.code.text, code.count) == ("520192-2", 5)


def test_a_malfunction_lamp_with_one_code():
    # pretty_j1939 (Apache-2.0), tests/test_diagnostic_messages.py, 2026: lamp on steady, SPN 91, FMI 3, count 1
    summary = _summary("18FECA00", "40 FF 5B 00 03 01 FF FF")
    assert [(code.code.text, code.count) for code in summary.codes] == [("91-3", 1)]
    assert [status.key for status in summary.statuses] == ["malfunction-indicator-lamp"]


def test_an_amber_lamp_that_flashes_slowly():
    # can-j1939 2.0 reads it as ON_SLOW_FLASH; SPN 65535, FMI 31, count 127 (not available)
    summary = _summary("18FECA00", "04 00 FF FF 1F 7F FF FF")
    assert {status.key for status in summary.statuses} == {"amber-warning-lamp", "amber-warning-lamp-flashing"}
    assert [(code.code.text, code.count) for code in summary.codes] == [("65535-31", None)]


BAM = "18ECFF00#20120003FFCAFE00\n18EBFF00#0100FF5B0003015C\n18EBFF00#020004025D000503\n18EBFF00#035E000604FFFFFF\n"


def test_four_codes_in_three_packets():
    # pretty_j1939, its tests, 2026; can-j1939 and nmea2000 put the same bytes together
    summary = summarize(io.BytesIO(BAM.encode()), name="sample.log")
    assert {(code.code.text, code.count) for code in summary.codes} == {
        ("91-3", 1),
        ("92-4", 2),
        ("93-5", 3),
        ("94-6", 4),
    }


def test_a_packet_missing_is_no_message():
    # pretty_j1939 and nmea2000 give nothing where TP.DT 2 is missing
    lines = BAM.splitlines()
    summary = summarize(io.BytesIO("\n".join(lines[:2] + lines[3:]).encode()), name="sample.log")
    assert (summary.codes, summary.not_understood[0].messages) == ((), 1)


def test_the_method_bit_leaves_the_spn_open():
    # pretty_j1939, tests/test_describe.py, 2026: D2 04 03 81 has FMI 3, count 1 and the conversion method bit
    (code,) = _summary("18FECA00", "04 FF D2 04 03 81 FF FF").codes
    assert (code.code, code.fmi, code.count) == (None, 3, 1)
