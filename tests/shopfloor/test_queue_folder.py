"""A queue in a folder: no message is read half or twice, and what cannot be written is said."""

from __future__ import annotations

import multiprocessing
import os
import time
from collections import Counter
from multiprocessing.synchronize import Event
from pathlib import Path
from queue import Empty

import pytest
from kombu import Connection

LOADS = 400


def connection_to(folder: Path) -> Connection:
    options = {"data_folder_in": str(folder), "data_folder_out": str(folder), "polling_interval": 0.01}
    return Connection("filesystem://", transport="shopfloor.queue_folder:Transport", transport_options=options)


def take_until_told(folder: Path, taken: multiprocessing.Queue[int], enough: Event) -> None:
    with connection_to(folder) as connection, connection.SimpleQueue("work") as queue:
        while not enough.is_set():
            try:
                message = queue.get(timeout=0.2)
            except Empty:
                continue
            assert len(message.payload["filling"]) == 3000
            message.ack()
            taken.put(message.payload["number"])


def wait_until_empty(folder: Path) -> None:
    deadline = time.monotonic() + 60
    while any(folder.iterdir()):
        assert time.monotonic() < deadline
        time.sleep(0.05)


def write(folder: Path, numbers: range) -> None:
    with connection_to(folder) as connection, connection.SimpleQueue("work") as queue:
        for number in numbers:
            queue.put({"number": number, "filling": "x" * 3000})


def test_messages_come_in_their_order(tmp_path: Path) -> None:
    write(tmp_path / "queue", range(5))
    with connection_to(tmp_path / "queue") as connection, connection.SimpleQueue("work") as queue:
        assert queue.qsize() == 5
        messages = [queue.get(timeout=60) for _ in range(5)]
        assert [message.payload["number"] for message in messages] == [0, 1, 2, 3, 4]
        for message in messages:
            message.ack()
        assert queue.qsize() == 0
    assert list((tmp_path / "queue").iterdir()) == []
    assert (tmp_path / "queue").stat().st_mode & 0o777 == 0o700


def test_many_who_write_and_read_lose_none_and_read_none_twice(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    taken: multiprocessing.Queue[int] = context.Queue()
    folder, enough = tmp_path / "queue", context.Event()
    readers = [context.Process(target=take_until_told, args=(folder, taken, enough)) for _ in range(3)]
    writers = [context.Process(target=write, args=(folder, range(n * LOADS, (n + 1) * LOADS))) for n in range(2)]
    for process in [*readers, *writers]:
        process.start()
    counted: Counter[int] = Counter()
    while sum(counted.values()) < 2 * LOADS:
        counted[taken.get(timeout=100)] += 1
    for process in writers:
        process.join(60)
    wait_until_empty(folder)  # what was read twice would come now
    enough.set()
    for process in [*readers, *writers]:
        process.join(60)
        assert process.exitcode == 0
    while not taken.empty():
        counted[taken.get()] += 1
    assert counted == Counter(range(2 * LOADS))
    assert list(folder.iterdir()) == []


def test_a_folder_that_cannot_be_written_is_an_error_of_whoever_sends(tmp_path: Path, monkeypatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with connection_to(tmp_path) as connection, connection.SimpleQueue("work") as queue:
        monkeypatch.setattr(os, "replace", full)
        with pytest.raises(OSError, match="No space left"):
            queue.put({"number": 1})
    assert list(tmp_path.iterdir()) == []
