"""Messages of NMEA 2000 as published samples have them, read as a whole log, with the nmea2000 library as the oracle.

Layout: canboat (Apache-2.0), docs/canboat.json, schema 2.5.0, version 8.0.0-beta3, commit 01d0dc3d, 2026. Samples:
"canboatjs" is its test/pgns, commit c584d703, 2026; "canboat samples" are canboat's samples/, 2026; "constructed" are
ours after the layout, decoded alike by two implementations.
"""

import io
from decimal import Decimal

import pytest
from nmea2000._canboat import Reassembler, ReassemblyError, fast_packet_fragment
from nmea2000.decoder import NMEA2000Decoder

from engineering.canlog import LogSummary, ParameterSpan, summarize
from engineering.canlog.groups import GROUPS
from engineering.canlog.lookups import FLUIDS, PRESSURE_KINDS, TEMPERATURE_PLACES
from engineering.measures import convert

CANBOATJS_ONE = "00 2f06 ffff e373 6605 ff7f 58020000 ffff ffff ff 0600 0000 7f 7f"
CANBOATJS_ALL = "00 2f06 1020 e373 6505 6504 72100000 1020 3040 ff 0600 ff00 30 18"
CANDUMP_FAST = [
    "09F20101#601A00B706670D0B",
    "09F20101#6186BA042600105F",
    "09F20101#62090000008F027F",
    "09F20101#63000000007F7FFF",
]


def _id(pgn: int, source: int = 1) -> str:
    return f"{2 << 26 | pgn << 8 | source:08X}"


def _frames(pgn: int, payload: str, sequence: int = 0) -> list[str]:
    data = bytes.fromhex(payload)
    parts = fast_packet_fragment(sequence, data) if len(data) > 8 else [data]
    return [f"{_id(pgn)}#{part.hex()}" for part in parts]


def _log(frames: list[str]) -> LogSummary:
    lines = (f"({1_764_000_000 + at / 1000:.6f}) can0 {frame}\n" for at, frame in enumerate(frames))
    return summarize(io.BytesIO("".join(lines).encode()), name="sample.log")


def _spans(pgn: int, payload: str) -> dict[str, ParameterSpan]:
    return {span.key: span for span in _log(_frames(pgn, payload)).parameters}


def _in(unit: str, span: ParameterSpan) -> Decimal | None:
    return None if span.first is None else convert(span.first, span.unit, unit)


def _statuses(frames: list[str]) -> set[str]:
    return {status.key for status in _log(frames).statuses}


ENGINE_ROWS = [
    # canboatjs: 158 300 Pa; oil temperature not available; 296.67 K (23.52 °C); 13.82 V; fuel not available; 600 s
    (CANBOATJS_ONE, "engine-oil-pressure", "Pa", "158300"),
    (CANBOATJS_ONE, "engine-oil-temperature", "K", None),
    (CANBOATJS_ONE, "engine-temperature", "K", "296.67"),
    (CANBOATJS_ONE, "engine-temperature", "degC", "23.52"),
    (CANBOATJS_ONE, "alternator-voltage", "V", "13.82"),
    (CANBOATJS_ONE, "engine-fuel-rate", "L/h", None),
    (CANBOATJS_ONE, "engine-hours", "s", "600"),
    (CANBOATJS_ONE, "engine-coolant-pressure", "Pa", None),
    (CANBOATJS_ONE, "engine-fuel-pressure", "Pa", None),
    (CANBOATJS_ONE, "engine-load", "%", None),
    (CANBOATJS_ONE, "engine-torque", "%", None),
    # canboatjs: 820.8 K, 112.5 L/h, coolant 820 800 Pa, fuel pressure 16 432 000 Pa, load 48 %, torque 24 %
    (CANBOATJS_ALL, "engine-oil-temperature", "K", "820.8"),
    (CANBOATJS_ALL, "engine-fuel-rate", "L/h", "112.5"),
    (CANBOATJS_ALL, "engine-coolant-pressure", "Pa", "820800"),
    (CANBOATJS_ALL, "engine-fuel-pressure", "Pa", "16432000"),
    (CANBOATJS_ALL, "engine-load", "%", "48"),
    (CANBOATJS_ALL, "engine-torque", "%", "24"),
]


@pytest.mark.parametrize(("payload", "key", "unit", "expected"), ENGINE_ROWS)
def test_an_engine_message(payload, key, unit, expected):
    span = _spans(127489, payload)[key]
    assert _in(unit, span) == (None if expected is None else Decimal(expected))
    assert (span.instance, span.not_available) == (0, 1 if expected is None else 0)


def test_the_status_of_both_engine_messages():
    # canboatjs: over temperature and low oil pressure; in the second also all eight bits of status 2
    first, second = _statuses(_frames(127489, CANBOATJS_ONE)), _statuses(_frames(127489, CANBOATJS_ALL))
    assert first == {"engine-over-temperature", "low-oil-pressure"}
    assert second - first == {
        "warning-level-1", "warning-level-2", "power-reduction", "maintenance-needed", "engine-comm-error",
        "secondary-throttle", "neutral-start-protect", "engine-shutting-down",
    }  # fmt: skip


CANDUMP_ROWS = [
    # canboat samples/candump-fast.txt: 171 900 Pa, 343.1 K, 343.15 K, 12.10 V, 3.8 L/h, 614 160 s = 170.6 h, 655 kPa
    ("engine-oil-pressure", "Pa", "171900"),
    ("engine-oil-temperature", "K", "343.1"),
    ("engine-temperature", "K", "343.15"),
    ("alternator-voltage", "V", "12.10"),
    ("engine-fuel-rate", "L/h", "3.8"),
    ("engine-hours", "s", "614160"),
    ("engine-hours", "h", "170.6"),
    ("engine-fuel-pressure", "Pa", "655000"),
]


@pytest.mark.parametrize(("key", "unit", "expected"), CANDUMP_ROWS)
def test_a_fast_packet_of_a_recorded_log(key, unit, expected):
    spans = {span.key: span for span in _log(CANDUMP_FAST).parameters}
    assert _in(unit, spans[key]) == Decimal(expected)


def test_the_published_frames_are_the_fragments_of_their_payload():
    # canboat samples/candump-fast.txt: putting the payload in frames again with sequence 3 gives the same four
    payload = "00b706670d0b86ba042600105f090000008f027f000000007f7f"
    assert [frame.upper() for frame in _frames(127489, payload, 3)] == CANDUMP_FAST


SINGLE_ROWS = [
    # canboatjs: 01 0000 ffff 7f ffff: starboard, 0 rpm, boost and trim not available
    (127488, "01 0000 ffff 7f ffff", {"engine-speed": ("rpm", "0")}, 1),
    (127488, "01 0000 ffff 7f ffff", {"engine-boost-pressure": ("Pa", None), "engine-tilt-or-trim": ("%", None)}, 1),
    # canboat samples: 798.5 rpm; 1262.25 rpm with boost 8000 Pa and trim 0
    (127488, "00 7a0c ffff 7f ffff", {"engine-speed": ("rpm", "798.5")}, 0),
    (127488, "01 b913 5000 00 0000", {"engine-speed": ("rpm", "1262.25")}, 1),
    (127488, "01 b913 5000 00 0000", {"engine-boost-pressure": ("Pa", "8000"), "engine-tilt-or-trim": ("%", "0")}, 1),
    # canboat samples: starboard, pressure and temperature not available
    (127493, "01 00 ffff ffff 00 ff", {"transmission-oil-pressure": ("Pa", None)}, 1),
    (127493, "01 00 ffff ffff 00 ff", {"transmission-oil-temperature": ("K", None)}, 1),
    # constructed: 1 500 000 Pa, 352.4 K
    (127493, "00 fc 983a c40d 02 ff", {"transmission-oil-pressure": ("Pa", "1500000")}, 0),
    (127493, "00 fc 983a c40d 02 ff", {"transmission-oil-temperature": ("K", "352.4")}, 0),
    # canboatjs: instance 0, fuel, 56.264 %, 49.0 L
    (127505, "00 f236 ea010000 ff", {"tank-level": ("%", "56.264"), "tank-capacity": ("L", "49.0")}, 0),
    # canboat samples: 96.872 %, capacity not available
    (127505, "00 9a5e ffffffff ff", {"tank-level": ("%", "96.872"), "tank-capacity": ("L", None)}, 0),
    # canboatjs: 14.62 V; current and temperature not available
    (127508, "01 b605 ff7f ffff 00", {"battery-voltage": ("V", "14.62"), "battery-current": ("A", None)}, 1),
    (127508, "01 b605 ff7f ffff 00", {"battery-temperature": ("K", None)}, 1),
    # canboat samples: 26.72 V, 6.7 A, 289.77 K
    (127508, "00 700a 4300 3171 ff", {"battery-voltage": ("V", "26.72"), "battery-current": ("A", "6.7")}, 0),
    (127508, "00 700a 4300 3171 ff", {"battery-temperature": ("K", "289.77")}, 0),
    # constructed: current −10.0 A
    (127508, "00 b605 9cff ffff 00", {"battery-current": ("A", "-10.0")}, 0),
    # canboatjs: instance 101, outside, 281.65 K; not available
    (130316, "ff 65 01 324c04 ffff", {"temperature": ("K", "281.65")}, 101),
    (130316, "ff 65 01 ffffff ffff", {"temperature": ("K", None), "set-temperature": ("K", None)}, 101),
]


@pytest.mark.parametrize(("pgn", "payload", "expected", "instance"), SINGLE_ROWS)
def test_a_message_in_one_frame(pgn, payload, expected, instance):
    spans = _spans(pgn, payload)
    for key, (unit, value) in expected.items():
        assert _in(unit, spans[key]) == (None if value is None else Decimal(value))
        assert spans[key].instance == instance


def test_what_a_tank_holds_and_where_a_temperature_is_taken():
    # canboatjs: fuel; outside. canboat lookups: 14 is exhaust gas, 15 shaft seal, 3 engine room
    assert _spans(127505, "00 f236 ea010000 ff")["tank-level"].kind == "fuel"
    assert _spans(130316, "ff 65 01 324c04 ffff")["temperature"].kind == "outside"
    places = {3: "engine room", 14: "exhaust gas", 15: "shaft seal"}
    assert {at: _spans(130316, f"ff 00 {at:02x} 324c04 ffff")["temperature"].kind for at in places} == places


def test_what_a_pressure_is_of():
    # canboat lookup PRESSURE_SOURCE: 7 oil, 8 fuel; all ones not available
    kinds = {7: "oil", 8: "fuel", 255: ""}
    assert {at: _spans(130314, f"00 01 {at:02x} 10270000 ff")["pressure"].kind for at in kinds} == kinds


@pytest.mark.parametrize(("raw", "pascal"), [("10270000", "1000"), ("ffffffff", "-0.1"), ("00000080", "-214748364.8")])
def test_a_pressure_below_nothing(raw, pascal):
    # nmea2000 2026.10: 1000.0, -0.1 and -214748364.8 Pa; 7FFFFFFF is not available
    assert _in("Pa", _spans(130314, f"00 01 05 {raw} ff")["pressure"]) == Decimal(pascal)
    assert _spans(130314, "00 01 05 ffffff7f ff")["pressure"].not_available == 1


@pytest.mark.parametrize(
    ("lookup", "ours"),
    [("TANK_TYPE", FLUIDS), ("TEMPERATURE_SOURCE", TEMPERATURE_PLACES), ("PRESSURE_SOURCE", PRESSURE_KINDS)],
)
def test_every_number_of_a_lookup_has_a_word(lookup, ours):
    # the canboat database 9.0 within nmea2000 2026.10; the words are ours, so only their number and order
    from nmea2000 import backend

    theirs = [words.lower() for _, words in sorted(backend.DATABASE.lookup(lookup))]
    assert len(ours) == len(theirs)
    assert all(
        own.split()[-1][:4] in named.replace("altimetersetting", "altimeter setting")
        for own, named in zip(ours, theirs, strict=True)
    )


@pytest.mark.parametrize(("low", "gear"), [(0, "forward"), (1, "neutral"), (2, "reverse")])
@pytest.mark.parametrize("reserved", [0x00, 0xFC])
def test_a_gear_is_read_from_two_bits_whatever_the_reserved_ones_are(low, gear, reserved):
    # canboat layout: gear in the lowest two bits; a recorded sample has the six reserved ones set
    assert _statuses(_frames(127493, f"00 {reserved | low:02x} ffff ffff 00 ff")) == {f"gear-{gear}"}


def test_a_gear_of_three_is_not_known():
    # canboat: the highest value of a lookup of two bits stands for not available
    assert _statuses(_frames(127493, "00 ff ffff ffff 00 ff")) == set()


def test_a_transmission_over_temperature():
    # constructed: bit 1 of the status of 127493
    assert "transmission-over-temperature" in _statuses(_frames(127493, "00 fc 983a c40d 02 ff"))


@pytest.mark.parametrize(
    ("raw", "counted"),
    [("7f", "not_available"), ("7e", "in_error"), ("7d", "reserved"), ("ff", "count"), ("80", "count")],
)
def test_the_highest_positive_value_of_a_signed_byte_says_not_available(raw, counted):
    # canboat field types: for signed numbers 7F, 7E and 7D are not available, error and reserved; FF is −1
    span = _spans(127488, f"00 0000 ffff {raw} ffff")["engine-tilt-or-trim"]
    tally = {name: getattr(span, name) for name in ("not_available", "in_error", "reserved", "count")}
    assert tally == {name: int(name == counted) for name in tally}
    if counted == "count":
        assert span.first == {"ff": -1, "80": -128}[raw]


@pytest.mark.parametrize(
    ("raw", "counted"), [("ffff", "not_available"), ("feff", "in_error"), ("fdff", "reserved"), ("fcff", "count")]
)
def test_the_highest_values_of_an_unsigned_word(raw, counted):
    # canboat field types: all ones not available, one less in error, two less reserved
    span = _spans(127488, f"00 {raw} ffff 7f ffff")["engine-speed"]
    assert [name for name in ("not_available", "in_error", "reserved", "count") if getattr(span, name)] == [counted]


def test_the_instance_of_a_tank_has_four_bits():
    # canboat layout of 127505: instance in the lower four bits, 15 not available; type in the upper four
    assert _spans(127505, "3d f236 ea010000 ff")["tank-level"].instance == 13
    assert _spans(127505, "3f f236 ea010000 ff")["tank-level"].instance is None
    assert _spans(127505, "5d f236 ea010000 ff")["tank-level"].kind == "black water"


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (0, 2, 1, 3), (0, 3, 2, 1)])
def test_a_fast_packet_in_another_order_is_still_complete(order):
    # nmea2000 2026.10: Reassembler completes each of these
    reassembler = Reassembler()
    pushed = [reassembler.push(127489, bytes.fromhex(CANDUMP_FAST[at][9:]), 1, 255, 2) for at in order]
    assert pushed[-1] is not None
    assert [span.count for span in _log([CANDUMP_FAST[at] for at in order]).parameters][:2] == [1, 1]


@pytest.mark.parametrize("order", [(1, 0, 2, 3), (3, 2, 1, 0)])
def test_what_came_before_the_first_frame_is_of_another_message(order):
    # canboat analyzer: a message begins with frame 0. nmea2000 2026.10 joins 1,0,2,3: the trap is that we must not,
    # as frame 1 may be left over from a message whose frame 0 was lost
    summary = _log([CANDUMP_FAST[at] for at in order])
    assert summary.parameters == ()
    assert sum(one.count for one in summary.not_understood) == 4


@pytest.mark.parametrize("missing", range(4))
def test_a_fast_packet_with_a_frame_missing_is_no_message(missing):
    # nmea2000 2026.10: a frame missing gives nothing
    summary = _log([frame for at, frame in enumerate(CANDUMP_FAST) if at != missing])
    assert summary.parameters == ()
    (lost,) = summary.not_understood
    assert (lost.cause, lost.pgn, lost.count, lost.messages) == ("fast-packet-lost", 127489, 3, 1)


def test_a_frame_that_comes_twice_does_no_harm():
    # nmea2000 2026.10 loses the message here; the trap is that we must not
    reassembler = Reassembler()
    frames = [CANDUMP_FAST[at] for at in (0, 1, 1, 2, 3)]
    pushed = []
    for frame in frames:
        try:
            pushed.append(reassembler.push(127489, bytes.fromhex(frame[9:]), 1, 255, 2))
        except ReassemblyError:
            pushed.append(None)
    assert not any(pushed)
    summary = _log(frames)
    assert [span.count for span in summary.parameters][:2] == [1, 1]
    assert [(one.cause, one.count) for one in summary.not_understood] == [("fast-packet-rest", 1)]


def test_two_engines_of_one_gateway_interleaved():
    # nmea2000 2026.10: two messages of one source with different sequence counters are both complete
    other = _frames(127489, CANBOATJS_ALL.replace("00 ", "01 ", 1), 5)
    mixed = [frame for pair in zip(CANDUMP_FAST, other, strict=True) for frame in pair]
    pressures = {s.instance: s.first for s in _log(mixed).parameters if s.key == "engine-oil-pressure"}
    assert pressures == {0: Decimal("171.9"), 1: Decimal("158.3")}


def test_engine_hours_come_in_seconds():
    # canboat layout: total engine hours × 1 s; canboat samples: 614 160 s = 170.6 h and 372 960 s = 103.6 h
    for seconds, hours in ((614_160, "170.6"), (372_960, "103.6")):
        raw = seconds.to_bytes(4, "little").hex()
        span = _spans(127489, f"00 2f06 ffff e373 6605 ff7f {raw} ffff ffff ff 0600 0000 7f 7f")["engine-hours"]
        assert _in("h", span) == Decimal(hours)


LIBRARY_NAMES = {
    (127488, "engine-speed"): "speed", (127488, "engine-boost-pressure"): "boostPressure",
    (127488, "engine-tilt-or-trim"): "tiltTrim", (127489, "engine-oil-pressure"): "oilPressure",
    (127489, "engine-oil-temperature"): "oilTemperature", (127489, "engine-temperature"): "temperature",
    (127489, "alternator-voltage"): "alternatorPotential", (127489, "engine-fuel-rate"): "fuelRate",
    (127489, "engine-hours"): "totalEngineHours", (127489, "engine-coolant-pressure"): "coolantPressure",
    (127489, "engine-fuel-pressure"): "fuelPressure", (127489, "engine-load"): "engineLoad",
    (127489, "engine-torque"): "engineTorque", (127493, "transmission-oil-pressure"): "oilPressure",
    (127493, "transmission-oil-temperature"): "oilTemperature", (127505, "tank-level"): "level",
    (127505, "tank-capacity"): "capacity", (127508, "battery-voltage"): "voltage",
    (127508, "battery-current"): "current", (127508, "battery-temperature"): "temperature",
    (130312, "temperature"): "actualTemperature", (130312, "set-temperature"): "setTemperature",
    (130316, "temperature"): "temperature", (130316, "set-temperature"): "setTemperature",
}  # fmt: skip


@pytest.mark.parametrize(("pgn", "key"), sorted(LIBRARY_NAMES))
def test_the_layout_of_every_field_is_that_of_the_open_database(pgn, key):
    # the canboat database 9.0 within nmea2000 2026.10
    from nmea2000 import backend

    info = next(one for one in backend.DATABASE.pgn_variants(pgn))
    theirs = next(field for field in info.fields if field.id == LIBRARY_NAMES[pgn, key])
    ours = next(field for field in GROUPS[pgn].fields if field.key == key)
    assert (ours.bits.start, ours.bits.width) == (theirs.bit_offset, theirs.bit_length)
    assert GROUPS[pgn].fast == (info.packet_type == "Fast")


_DECODER_UNITS = {"Pa": "Pa", "K": "K", "V": "V", "A": "A", "rpm": "rpm", "%": "%", "L": "L", "L/h": "L/h", "s": "s"}


@pytest.mark.parametrize("fill", ["01", "10", "25", "3c", "5a", "70"])
@pytest.mark.parametrize("pgn", sorted({pgn for pgn, _ in LIBRARY_NAMES}))
def test_every_value_equals_that_of_nmea2000(pgn, fill):
    # nmea2000 2026.10, decoding the same payload in canboat's units; it gives floats, so to 12 figures
    length = GROUPS[pgn].length
    payload = bytes([0x01]) + bytes((int(fill, 16) + 3 * at) % 0x7D for at in range(1, length))
    line = f"2026-01-01T00:00:00.000Z,2,{pgn},1,255,{length},{payload.hex(',')}"
    fields = {field.id: field for field in NMEA2000Decoder().decode(line).fields}
    for key, span in _spans(pgn, payload.hex()).items():
        theirs = fields[LIBRARY_NAMES[pgn, key]]
        value = theirs.value.total_seconds() if hasattr(theirs.value, "total_seconds") else theirs.value
        unit = _DECODER_UNITS[theirs.unit_of_measurement or "s"]
        assert float(_in(unit, span)) == pytest.approx(value, rel=1e-12, abs=1e-9), key
