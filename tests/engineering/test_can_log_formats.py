"""The same frames as candump, ASC, BLF and TRC, written by python-can and read alike by it and by us."""

import io
import random
from decimal import Decimal
from pathlib import Path

import can
import pytest

from engineering.canlog import Clock, LogProblem, LogSummary, summarize

STARTED_AT = 1_764_000_000.0
ENGINE = ["601A00B706670D0B", "6186BA042600105F", "62090000008F027F", "63000000007F7FFF"]


def _messages(*, remote: bool = True, fd: bool = True, error: bool = True) -> list[can.Message]:
    made: list[can.Message] = []

    def add(can_id: int, data: bytes = b"", channel: int = 0, **more) -> None:
        made.append(can.Message(STARTED_AT + len(made) / 100, can_id, data=data, channel=channel, is_rx=True, **more))

    for turn in range(40):
        for number, frame in enumerate(ENGINE):
            add(0x09F20101, bytes([turn % 8 << 5 | number]) + bytes.fromhex(frame)[1:])
        add(0x09F20002, bytes([1]) + (3200 + turn).to_bytes(2, "little") + b"\xff\xff\x7f\xff\xff", channel=1)
        add(0x123, b"\x01\x02", is_extended_id=False)
        add(0x18FECA00, bytes.fromhex("04FF6E000003FFFF"))
    if remote:
        add(0x09F20002, is_remote_frame=True, dlc=8)
    if fd:
        add(0x09F20002, bytes(12), is_fd=True)
    if error:
        made.append(can.Message(STARTED_AT + len(made) / 100, is_error_frame=True, channel=0))
    return made


def _written(folder: Path, ending: str, messages: list[can.Message]) -> Path:
    path = folder / f"trip{ending}"
    with can.Logger(path) as writer:
        for message in messages:
            writer(message)
    return path


def _read(path: Path) -> LogSummary:
    with path.open("rb") as stream:
        return summarize(stream, name=path.name)


def _values(summary: LogSummary) -> list[tuple]:
    return [
        (s.key, s.source, s.instance, s.count, s.first, s.last, s.minimum, s.maximum, s.median, s.not_available)
        for s in summary.parameters
    ]


FORMATS = {".log": "candump", ".asc": "ASC", ".blf": "BLF", ".trc": "TRC"}


@pytest.mark.parametrize("ending", FORMATS)
def test_each_format_says_the_same(tmp_path, ending):
    plain = _messages(remote=False, fd=False, error=False)
    summary = _read(_written(tmp_path, ending, plain))
    reference = _read(_written(tmp_path, ".log", plain))
    assert summary.format == FORMATS[ending]
    assert (summary.frames, summary.decoded_frames) == (reference.frames, reference.decoded_frames) == (280, 240)
    assert _values(summary) == _values(reference)
    assert [(one.source, one.code, one.messages) for one in summary.codes] == [
        (one.source, one.code, one.messages) for one in reference.codes
    ]
    assert summary.seconds == reference.seconds == Decimal("2.79")
    assert summary.damages == ()


@pytest.mark.parametrize("ending", [".log", ".asc", ".blf"])
def test_frames_of_other_kinds_are_counted_as_python_can_reads_them(tmp_path, ending):
    path = _written(tmp_path, ending, _messages())
    theirs = list(can.LogReader(path))
    counted = {
        "remote": sum(one.is_remote_frame for one in theirs),
        "fd": sum(one.is_fd for one in theirs),
        "error": sum(one.is_error_frame for one in theirs),
        "standard": sum(not one.is_extended_id and not one.is_error_frame for one in theirs),
    }
    summary = _read(path)
    assert {one.cause: one.count for one in summary.not_understood} == counted
    assert summary.frames == len(theirs)


@pytest.mark.parametrize(("ending", "names"), [(".log", ("can0", "can1")), (".asc", ("1", "2")), (".blf", ("1", "2"))])
def test_channels_are_kept_apart_under_the_names_of_the_file(tmp_path, ending, names):
    summary = _read(_written(tmp_path, ending, _messages()))
    assert summary.channels == names
    assert {span.channel for span in summary.parameters if span.source == 2} == {names[1]}


def test_a_log_of_the_unix_clock_has_a_time_zone_and_the_others_have_none(tmp_path):
    plain = _messages(remote=False, fd=False, error=False)
    clocks = {ending: _read(_written(tmp_path, ending, plain)).clock for ending in FORMATS}
    assert clocks == {".log": Clock.UTC, ".asc": Clock.LOCAL, ".blf": Clock.LOCAL, ".trc": Clock.LOCAL}
    summary = _read(tmp_path / "trip.log")
    assert (summary.first_at.timestamp(), summary.last_at.timestamp()) == (STARTED_AT, STARTED_AT + 2.79)
    assert _read(tmp_path / "trip.blf").first_at.isoformat() == "2025-11-24T16:00:00"


def test_entries_of_a_blf_log_in_runs_and_alone_say_the_same(tmp_path):
    alike = _messages(remote=False, fd=False, error=False)
    mixed = [copy for one in alike for copy in (one, can.Message(one.timestamp, is_error_frame=True, channel=0))]
    first = _read(_written(tmp_path, ".blf", alike))
    second = _read(_written(tmp_path, ".blf", mixed))
    assert _values(first) == _values(second)
    assert second.frames == 2 * first.frames


TRC_VERSIONS = {
    "1.0": (";   Start time: unknown\n", "{n:>6}) {ms:7.0f} {id} {dlc} {data}\n"),
    "1.1": (";$FILEVERSION=1.1\n;$STARTTIME=45000.5\n", "{n:>6}) {ms:11.1f}  Rx  {id}  {dlc}  {data}\n"),
    "1.3": (";$FILEVERSION=1.3\n;$STARTTIME=45000.5\n", "{n:>7}) {ms:13.3f} 1  Rx  {id} -  {dlc}    {data}\n"),
    "2.0": (
        ";$FILEVERSION=2.0\n;$STARTTIME=45000.5\n;$COLUMNS=N,O,T,I,d,l,D\n",
        "{n:>7} {ms:13.3f} DT {id} Rx {dlc}  {data}\n",
    ),
    "2.1": (
        ";$FILEVERSION=2.1\n;$STARTTIME=45000.5\n;$COLUMNS=N,O,T,B,I,d,R,L,D\n",
        "{n:>7} {ms:13.3f} DT 1 {id} Rx -  {dlc}    {data}\n",
    ),
}


@pytest.mark.parametrize("version", TRC_VERSIONS)
def test_each_version_of_trc(tmp_path, version):
    header, line = TRC_VERSIONS[version]
    path = tmp_path / "trip.trc"
    lines = [
        line.format(n=n + 1, ms=n * 10.0, id="09F20101", dlc=8, data=bytes.fromhex(frame).hex(" ").upper())
        for n, frame in enumerate(ENGINE)
    ]
    lines.append(line.format(n=5, ms=50.0, id="0123", dlc=2, data="01 02"))
    path.write_text(header + "".join(lines))
    theirs = list(can.TRCReader(path))
    summary = _read(path)
    assert summary.frames == len(theirs) == 5
    assert (summary.decoded_frames, summary.damages) == (4, ())
    assert float(summary.seconds) == pytest.approx(theirs[-1].timestamp - theirs[0].timestamp, abs=1e-4)
    if version != "1.0":
        assert summary.first_at.isoformat() == "2023-03-15T12:00:00"


def test_an_asc_log_whose_times_count_from_the_line_before():
    head = "date Tue Nov 25 10:00:00.000 am 2025\nbase hex  timestamps relative\nno internal events logged\n"
    lines = [
        f"   0.500000 1  9F20001x        Rx   d 8 00 00 {n:02X} FF FF 7F FF FF\n" if n else
        "   0.500000 1  9F20001x        Rx   r\n" for n in range(5)
    ]  # fmt: skip
    summary = summarize(io.BytesIO((head + "".join(lines)).encode()), name="trip.asc")
    assert (str(summary.seconds), summary.first_at.isoformat()) == ("2.000000", "2025-11-25T10:00:00.500000")
    span = summary.parameters[0]
    assert (str(span.first_s), str(span.last_s)) == ("0.500000", "2.000000")


def test_an_asc_log_in_decimal_is_read_by_the_library():
    head = "date Tue Nov 25 10:00:00.000 2025\nbase dec  timestamps absolute\nno internal events logged\n"
    line = "   0.500000 1  166854657x        Rx   d 8 0 200 12 255 255 127 255 255\n"
    summary = summarize(io.BytesIO((head + line).encode()), name="trip.asc")
    assert (summary.frames, summary.parameters[0].first) == (1, (200 + 12 * 256) / 4)


CANDUMP_LINES = [
    "(1764000000.500000) can0 09F20001#00C80CFFFF7FFFFF",
    "(1764000000.500000) can0 09F20001#00c80cffff7fffff R",
    "(1764000000.5) can0 09F20001#00C80CFFFF7FFFFF T",
    "(1764000000.500000123) a_channel_with_a_long_name 09F20001#00C80CFFFF7FFFFF",
    "(2025-11-24 16:00:00.500000)  can0  09F20001   [8]  00 C8 0C FF FF 7F FF FF",
    " (1764000000.500000)  can0  09F20001   [8]  00 C8 0C FF FF 7F FF FF   '........'",
    " (1764000000.500000)  can0  RX - -  09F20001   [8]  00 C8 0C FF FF 7F FF FF",
    "\t(1764000000.500000)\tcan0\t09F20001#00.C8.0C.FF.FF.7F.FF.FF",
    "can0  09F20001   [8]  00 C8 0C FF FF 7F FF FF",
    "can0 09F20001#00C80CFFFF7FFFFF",
    "09F20001#00C80CFFFF7FFFFF",
]


@pytest.mark.parametrize("line", CANDUMP_LINES)
@pytest.mark.parametrize("ending", ["\n", "\r\n", "", "\r"])
def test_each_notation_of_candump(line, ending):
    summary = summarize(io.BytesIO((line + ending).encode()), name="trip.log")
    assert (summary.format, summary.frames, summary.damages) == ("candump", 1, ())
    assert summary.parameters[0].first == 818
    if line.lstrip().startswith("("):
        zone = "" if "-24 " in line else "+00:00"
        assert summary.first_at.isoformat() == f"2025-11-24T16:00:00.500000{zone}"
    else:
        assert (summary.clock, summary.first_at, summary.seconds) == (Clock.NONE, None, None)


def test_notations_mixed_in_one_log_keep_their_order():
    lines = [line.replace("00C80C", f"00{n:02X}0C").replace("00 C8 0C", f"00 {n:02X} 0C") for n, line in
             enumerate(CANDUMP_LINES[:3] + CANDUMP_LINES[5:7] + CANDUMP_LINES[:3])]  # fmt: skip
    summary = summarize(io.BytesIO("\n".join(lines).encode()), name="trip.log")
    (span,) = [one for one in summary.parameters if one.key == "engine-speed"]
    assert (span.count, span.first, span.last) == (8, 0x0C00 / 4, 0x0C07 / 4)


def test_times_that_run_back_are_counted_with_their_lines():
    times = [5.0, 6.0, 2.0, 3.0, 1.5]
    log = "".join(f"({1_764_000_000 + t:.6f}) can0 09F20001#00C80CFFFF7FFFFF\n" for t in times)
    summary = summarize(io.BytesIO(log.encode()), name="trip.log")
    assert (summary.backward_steps, str(summary.seconds), str(summary.largest_gap_s)) == (2, "4.500000", "1.000000")
    (damage,) = summary.damages
    assert (damage.kind, damage.count, [place.line for place in damage.samples]) == ("time-back", 2, [3, 5])


@pytest.mark.parametrize("time", ["noon", "1.5.5", "2025-13-40 99:00:00", "1" * 30, "nan"])
def test_a_frame_whose_time_cannot_be_read_is_used_and_said(time):
    log = f"(1764000000.0) can0 09F20001#00C80CFFFF7FFFFF\n({time}) can0 09F20001#00D00CFFFF7FFFFF\n"
    summary = summarize(io.BytesIO(log.encode()), name="trip.log")
    span = summary.parameters[0]
    assert (span.count, span.last, span.last_s) == (2, 820, 0)
    assert [(one.kind, one.count, one.samples[0].line) for one in summary.damages] == [("time", 1, 2)]


def _candump(times, front: str = "") -> bytes:
    return (front + "".join(f"({time:010.6f}) can0 09F20001#00C80CFFFF7FFFFF\n" for time in times)).encode()


@pytest.mark.parametrize("seed", range(5))
def test_times_that_count_from_the_frame_before_are_added_up(seed):
    """``candump -td``: (000.000000) first, then the seconds since the line above."""
    dice = random.Random(seed)
    steps = [0.0] + [
        round(dice.choice([0.0002, 0.1, dice.random() / 10]), 6) for _ in range(dice.choice([12, 40, 3000]))
    ]
    summary = summarize(io.BytesIO(_candump(steps)), name="trip.log")
    assert summary.clock is Clock.RELATIVE
    assert summary.seconds == sum(Decimal(f"{step:.6f}") for step in steps)
    assert (summary.backward_steps, summary.damages) == (0, ())


def test_steps_that_are_all_the_same_are_added_up():
    summary = summarize(io.BytesIO(_candump([0] + [0.01] * 50)), name="trip.log")
    assert str(summary.seconds) == "0.500000"


@pytest.mark.parametrize(
    "times",
    [
        [at / 10 for at in range(50)],  # candump -tz
        [at // 3 / 1000 for at in range(300)],  # three frames in each millisecond
        [5.0, 5.1, 5.0999, 5.2, 5.3, *(6 + at for at in range(40))],  # one frame moved by the logger
        [*(at / 10 for at in range(60)), *(at / 10 for at in range(60))],  # two logs put together
        [1.0, 2.0],
    ],
)
def test_times_that_grow_are_not_taken_for_steps(times):
    summary = summarize(io.BytesIO(_candump(times)), name="trip.log")
    assert float(summary.seconds) == pytest.approx(max(times) - min(times))


@pytest.mark.parametrize("front", ["", "; a comment\n"])
def test_a_byte_order_mark_costs_nothing(front):
    content = b"\xef\xbb\xbf" + _candump([1_764_000_000.5], front)
    summary = summarize(io.BytesIO(content), name="trip.log")
    assert (summary.frames, summary.bytes_read, summary.damages) == (1, len(content), ())


@pytest.mark.parametrize("codec", ["utf-16", "utf-16-be"])
def test_text_in_another_coding_is_refused_with_what_to_do(codec):
    mark = b"\xfe\xff" if codec.endswith("be") else b""
    with pytest.raises(LogProblem, match="UTF-16"):
        summarize(io.BytesIO(mark + _candump([1.0]).decode().encode(codec)), name="trip.log")


@pytest.mark.parametrize(
    "spoiled", [b"\0\0\0\0\n", b"\0\n\0\0\n", b"\0" * 5000 + b"\n", b"\0\0(1.0) can0 09F20001#00\n"]
)
@pytest.mark.parametrize("repeats", [1, 200])
def test_lines_of_nothing_are_counted(spoiled, repeats):
    """A file that was cut off by a power cut is often filled up with NUL."""
    content = _candump([1_764_000_000]) + spoiled * repeats + _candump([1_764_000_001])
    summary = summarize(io.BytesIO(content), name="trip.log")
    assert summary.frames == 2
    assert sum(one.count for one in summary.damages) == spoiled.count(b"\n") * repeats
    assert summary.damages[0].samples[0].line == 2


def test_a_control_character_between_two_words_is_no_blank():
    line = b"(1764000000.0)\x01can0 09F20001#00C80CFFFF7FFFFF\n"
    summary = summarize(io.BytesIO(line + _candump([1_764_000_001])), name="trip.log")
    assert (summary.frames, [one.kind for one in summary.damages]) == (1, ["line"])
