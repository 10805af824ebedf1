"""A whole log in one summary, and the summary as strings and back."""

import io
import json
import subprocess
import sys

import pytest

from engineering.canlog import Clock, LogProblem, from_json, summarize, to_json

LOG = b"""(1436509052.249713) can0 09F20101#601A00B706670D0B
(1436509052.250713) can0 09F20101#6186BA042600105F
(1436509052.251713) can0 09F20101#62090000008F027F
(1436509052.252713) can0 09F20101#63000000007F7FFF
(1436509052.260000) can0 09F20001#01B9135000000000
(1436509052.270000) can0 18FECA00#40FF5B000301FFFF
(1436509052.280000) can0 123#01
garbage # here
(1436509052.290000) can0 1DEFFF01#0011223344556677
"""


def _summary(log: bytes):
    return summarize(io.BytesIO(log), name="trip.log")


def test_every_frame_is_decoded_or_counted_with_its_cause():
    summary = _summary(LOG)
    assert (summary.format, summary.lines, summary.frames, summary.decoded_frames) == ("candump", 9, 8, 6)
    assert [(one.cause, one.pgn, one.count) for one in summary.not_understood] == [
        ("standard", None, 1),
        ("pgn", 126720, 1),
    ]
    assert [(one.kind, one.count, one.samples[0].line) for one in summary.damages] == [("line", 1, 8)]
    assert summary.clock is Clock.UTC
    assert summary.first_at.isoformat() == "2015-07-10T06:17:32.249713+00:00"


def test_a_summary_comes_back_from_its_strings():
    summary = _summary(LOG)
    assert from_json(json.loads(json.dumps(to_json(summary)))) == summary


def test_a_stored_summary_holds_strings_only():
    def leaves(value):
        if isinstance(value, dict):
            return [leaf for one in value.values() for leaf in leaves(one)]
        return [leaf for one in value for leaf in leaves(one)] if isinstance(value, list) else [value]

    assert {type(leaf) for leaf in leaves(to_json(_summary(LOG)))} == {str}


@pytest.mark.parametrize("change", [{"frames": "many"}, {"frames": 5}, {"codes": "none"}, {"more": "1"}])
def test_what_was_not_stored_here_is_refused(change):
    with pytest.raises(LogProblem, match="can no longer be read"):
        from_json(to_json(_summary(LOG)) | change)


@pytest.mark.parametrize("content", [b"", b"\0\0\n", b"%PDF-1.7\n", b"name,value\n1,2\n"])
def test_what_is_no_log_is_refused_with_a_sentence(content):
    with pytest.raises(LogProblem) as caught:
        _summary(content)
    assert caught.value.sentence.endswith(".")


def test_progress_is_told_as_the_log_is_read():
    told = []
    summarize(io.BytesIO(LOG), name="trip.log", size=len(LOG), on_progress=told.append)
    assert told[-1].bytes_read == told[-1].size == len(LOG)


def test_nothing_heavy_is_loaded_before_a_log_is_read():
    # a web worker imports this; what reads logs belongs to the task
    code = "import sys, engineering.canlog; print(*({'numpy', 'can', 'nmea2000'} & sys.modules.keys()))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
