"""A trip of twenty seconds: every value that the nmea2000 library decodes frame by frame, against the one pass."""

import io
import random
import statistics
import tracemalloc
from collections import defaultdict

import pytest
from nmea2000.decoder import NMEA2000Decoder

from benchmarks.trip_log import write_trip
from engineering.canlog import LogSummary, summarize
from engineering.canlog.groups import GROUPS
from tests.published.test_nmea2000 import LIBRARY_NAMES


@pytest.fixture(scope="module")
def trip(tmp_path_factory):
    path = tmp_path_factory.mktemp("trip") / "trip.log"
    return path, write_trip(path, 20)


@pytest.fixture(scope="module")
def summary(trip) -> LogSummary:
    with trip[0].open("rb") as stream:
        return summarize(stream, name="trip.log")


@pytest.fixture(scope="module")
def decoded(trip) -> dict[tuple, list[float]]:
    """The values by PGN, source, instance and the library's name of the field, in order."""
    decoder, values = NMEA2000Decoder(), defaultdict(list)
    for line in trip[0].read_text().splitlines():
        message = decoder.decode(line)
        if message is None or message.PGN not in GROUPS:
            continue
        fields = {field.id: field for field in message.fields}
        for field in message.fields:
            if field.value is not None and not isinstance(field.value, str):
                value = field.value.total_seconds() if hasattr(field.value, "total_seconds") else field.value
                values[message.PGN, message.source, fields["instance"].raw_value, field.id].append(float(value))
    return values


_TO_LIBRARY = {"kPa": lambda value: value * 1000, "degC": lambda value: value + 273.15}


def test_first_last_extremes_and_median_are_those_of_the_library(summary, decoded):
    compared = 0
    for span in summary.parameters:
        if span.pgn < 127_000:
            continue
        theirs = decoded[span.pgn, span.source, span.instance, LIBRARY_NAMES[span.pgn, span.key]]
        convert = _TO_LIBRARY.get(span.unit, lambda value: value)
        assert span.count == len(theirs), span
        if theirs:
            ours = [convert(float(x)) for x in (span.first, span.last, span.minimum, span.maximum, span.median)]
            wanted = [theirs[0], theirs[-1], min(theirs), max(theirs), statistics.median_low(theirs)]
            assert ours == pytest.approx(wanted, rel=1e-12), span
            compared += 1
    assert compared > 25


def test_every_frame_of_the_trip_is_decoded_or_counted(trip, summary):
    assert summary.frames == trip[1]
    assert summary.frames == summary.decoded_frames + sum(one.count for one in summary.not_understood)
    assert {one.cause for one in summary.not_understood} == {"pgn"}
    assert (summary.backward_steps, summary.damages) == (0, ())


def test_the_same_trip_gives_the_same_summary_in_pieces_of_any_size(trip, summary, monkeypatch):
    monkeypatch.setattr("engineering.canlog.source.PIECE", 50_000)
    with trip[0].open("rb") as stream:
        assert summarize(stream, name="trip.log") == summary


def test_memory_does_not_grow_with_the_log(trip, monkeypatch, tmp_path):
    monkeypatch.setattr("engineering.canlog.source.PIECE", 100_000)
    path, peaks = tmp_path / "more.log", []
    for times in (1, 1, 4):  # the first reading also fills what is kept for good
        path.write_bytes(trip[0].read_bytes() * times)
        tracemalloc.start()
        with path.open("rb") as stream:
            summarize(stream, name="trip.log")
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[2] < 1.1 * peaks[1]


@pytest.mark.parametrize("loss", [0.02, 0.1, 0.4])
def test_no_value_is_told_that_was_not_sent_where_frames_are_lost_doubled_or_out_of_order(trip, decoded, loss):
    compared = 0
    for seed in range(4):
        dice = random.Random(seed)
        kept = [line for line in trip[0].read_bytes().splitlines(keepends=True) if dice.random() >= loss]
        kept = [line for line in kept for _ in range(2 if dice.random() < loss else 1)]
        for at in range(len(kept) - 1):
            if dice.random() < loss:
                kept[at], kept[at + 1] = kept[at + 1], kept[at]
        damaged = summarize(io.BytesIO(b"".join(kept)), name="trip.log")
        for span in damaged.parameters:
            if span.pgn < 127_000 or not span.count:
                continue
            theirs = decoded[span.pgn, span.source, span.instance, LIBRARY_NAMES[span.pgn, span.key]]
            convert = _TO_LIBRARY.get(span.unit, lambda value: value)
            was_sent = {f"{value:.9g}" for value in theirs}
            told = {
                f"{convert(float(x)):.9g}" for x in (span.first, span.last, span.minimum, span.maximum, span.median)
            }
            assert told <= was_sent, (seed, span)
            compared += 1
        assert damaged.frames == damaged.decoded_frames + sum(one.count for one in damaged.not_understood)
        lost = sum(one.messages for one in damaged.incomplete or ())
        assert lost > 0
    assert compared > 80
