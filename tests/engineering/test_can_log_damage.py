"""Damaged, truncated and strange files: what was readable is kept, the rest is counted, nothing raises."""

import io
import struct
import zlib
from contextlib import suppress

import can
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from engineering.canlog import LogProblem, LogSummary, from_json, summarize, to_json

STARTED_AT = 1_764_000_000.0
BAM = [
    (0x1CECFF00, "20120003FFCAFE00"), (0x1CEBFF00, "0100FF5B0003015C"), (0x1CEBFF00, "020004025D000503"),
    (0x1CEBFF00, "035E000604FFFFFF"),
]  # fmt: skip
FRAMES = [
    (0x09F20101, "601A00B706670D0B"), (0x09F20101, "6186BA042600105F"), (0x09F20101, "62090000008F027F"),
    (0x09F20101, "63000000007F7FFF"), (0x09F20001, "00C80CFFFF7FFFFF"), (0x18FECA00, "04FF6E000003FFFF"),
    (0x0DF11601, "0102030405060708"), *BAM,
]  # fmt: skip


@pytest.fixture(scope="session")
def written(tmp_path_factory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("logs")
    for ending in (".log", ".asc", ".blf", ".trc"):
        with can.Logger(folder / f"trip{ending}") as writer:
            for at in range(6):
                for number, (can_id, data) in enumerate(FRAMES):
                    when = STARTED_AT + at + number / 100
                    writer(can.Message(when, can_id, data=bytes.fromhex(data), channel=0, is_rx=True))
                writer(can.Message(STARTED_AT + at + 0.5, 0x7E8, data=b"\x06", is_extended_id=False, channel=1))
    return {path.suffix: path.read_bytes() for path in folder.iterdir()}


def _read(log: bytes) -> LogSummary:
    return summarize(io.BytesIO(log), name="trip.log")


def _adds_up(summary: LogSummary) -> bool:
    return summary.frames == summary.decoded_frames + sum(one.count for one in summary.not_understood)


@pytest.mark.parametrize("ending", [".log", ".asc", ".blf", ".trc"])
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_damage_raises_and_the_totals_add_up(written, ending, data):
    log = bytearray(written[ending])
    for _ in range(data.draw(st.integers(0, 6))):
        at = data.draw(st.integers(0, max(0, len(log) - 1)))
        how = data.draw(st.sampled_from(["overwrite", "cut out", "insert", "truncate"]))
        what = data.draw(st.binary(max_size=12))
        if how == "overwrite":
            log[at : at + len(what)] = what
        elif how == "cut out":
            del log[at : at + data.draw(st.integers(0, 400))]
        elif how == "insert":
            log[at:at] = what
        else:
            del log[at:]
    try:
        summary = _read(bytes(log))
    except LogProblem:
        return
    assert _adds_up(summary)
    assert from_json(to_json(summary)) == summary
    for span in summary.parameters:
        assert span.count == 0 or span.minimum <= span.median <= span.maximum


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400))
@example(b"LOGG")
@example(b"LOGG" + bytes(200))
@example(b";$FILEVERSION=9.9\n;$STARTTIME=x\n1) 1 Rx 0300 1 00\n")
@example(b"base hex\n 0.1 1 09F20001x Rx d 8\n")
def test_any_bytes_are_read_or_refused(content):
    for front in (b"", b"(1.0) can0 09F20001#00\n", b"base hex\n", b";$FILEVERSION=1.1\n"):
        with suppress(LogProblem):
            assert _adds_up(_read(front + content))


_LINE = st.text(st.sampled_from("0123456789ABCDEFabcxR#[]() .\t'_can\r\0é"), max_size=60)


@settings(max_examples=150, deadline=None)
@given(st.lists(_LINE, max_size=12))
def test_lines_like_a_log_are_read_or_counted(lines):
    log = "(1.000000) can0 09F20001#00C80CFFFF7FFFFF\n" + "\n".join(lines)
    assert _adds_up(_read(log.encode()))


@pytest.mark.parametrize(("ending", "lost"), [(".log", 2), (".asc", 1), (".trc", 2)])
def test_a_text_cut_off_keeps_what_came_before(written, ending, lost):
    log = written[ending]
    cut = log[: log.rindex(b"\n", 0, -1) - 7]
    whole, part = _read(log), _read(cut)
    assert part.frames == whole.frames - lost
    assert [(damage.kind, damage.count) for damage in part.damages] == [("line", 1)]
    assert part.parameters[0].count == whole.parameters[0].count


def test_a_broken_line_is_shown_with_its_number():
    log = b"(1.000000) can0 09F20001#00C80CFFFF7FFFFF\n(1.1) can0 09F2\x000G1#0\xff\n(1.2) can0 09F20001#00C80\n"
    (damage,) = _read(log).damages
    assert (damage.kind, damage.count) == ("line", 2)
    assert [place.line for place in damage.samples] == [2, 3]
    assert damage.samples[0].excerpt == "(1.1) can0 09F2�0G1#0�"


def test_places_are_capped_and_counts_are_exact():
    log = b"(1.0) can0 09F20001#00C80CFFFF7FFFFF\n" + b"broken # line\n" * 5000
    (damage,) = _read(log).damages
    assert (damage.count, len(damage.samples)) == (5000, 5)


@pytest.mark.parametrize("size", [70_000, 5_000_000])
def test_a_line_without_an_end_is_passed_over(size):
    frame = b"(1.000000) can0 09F20001#00C80CFFFF7FFFFF\n"
    summary = _read(frame * 3 + b"x" * size + b"\n" + frame * 4)
    assert summary.frames == 7
    assert [(one.kind, one.count) for one in summary.damages] in ([("long-line", 1)], [("unknown-line", 1)])


def _container(entries: bytes, method: int = 2) -> bytes:
    packed = zlib.compress(entries) if method == 2 else entries
    body = struct.pack("<H6xL4x", method, len(entries)) + packed
    return struct.pack("<4sHHLL", b"LOBJ", 16, 1, 16 + len(body), 10) + body + bytes((16 + len(body)) % 4)


def _entry(number: int, kind: int = 1) -> bytes:
    body = struct.pack("<HBBL8s", 1, 0, 8, 0x89F20001, bytes([0, number, 12, 255, 255, 127, 255, 255]))
    return struct.pack("<4sHHLLLHHQ", b"LOBJ", 32, 1, 48, kind, 2, 0, 0, number * 1_000_000) + body


def _blf(*containers: bytes) -> bytes:
    return struct.pack("<4sL", b"LOGG", 144).ljust(144, b"\0") + b"".join(containers)


def test_a_block_that_cannot_be_unpacked_costs_only_itself():
    good = _container(b"".join(map(_entry, range(20))))
    broken = bytearray(good)
    broken[40:60] = b"\xff" * 20
    summary = _read(_blf(good, bytes(broken), good))
    assert summary.frames == 40
    assert "container" in {one.kind for one in summary.damages}


def test_bytes_between_blocks_are_searched_for_the_next():
    good = _container(b"".join(map(_entry, range(20))))
    summary = _read(_blf(good, b"rubbish of any length", good, b"LOBJ\0\0"))
    assert summary.frames == 40
    assert {one.kind: one.count for one in summary.damages} == {"object": 1, "cut-off": 1, "time-back": 1}


def test_a_block_that_unpacks_to_far_more_than_it_may_is_cut():
    bomb = _container(bytes(64 << 20))
    summary = _read(_blf(_container(b"".join(map(_entry, range(20)))), bomb, _container(_entry(30))))
    assert summary.frames in (20, 21)
    assert "container" in {one.kind for one in summary.damages}


def test_entries_split_over_blocks_and_unpacked_ones_are_whole():
    entries = b"".join(map(_entry, range(40)))
    summary = _read(_blf(_container(entries[:999]), _container(entries[999:1500], 0), _container(entries[1500:])))
    assert (summary.frames, summary.damages) == (40, ())
    assert summary.parameters[0].count == 40


def test_entries_that_are_no_frames_are_counted():
    summary = _read(_blf(_container(_entry(1) + _entry(2, 96) + _entry(3, 73) + _entry(4, 100))))
    assert {one.cause: one.count for one in summary.not_understood} == {"error": 1, "fd": 1}
    assert [(one.kind, one.count) for one in summary.damages] == [("other-object", 1)]


def test_what_progress_raises_ends_the_reading():
    class StoppedError(Exception): ...

    def stop(_progress) -> None:
        raise StoppedError

    with pytest.raises(StoppedError):
        summarize(io.BytesIO(b"(1.0) can0 09F20001#00\n"), name="trip.log", on_progress=stop)
