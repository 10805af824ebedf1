"""A queue for Celery in a folder: Kombu's filesystem transport, made safe for several who write and read at once.

Used on one box, where no Redis runs. A message is written beside and renamed, so that nobody reads half of one, and it
is whoever removes the file that has it. Routes are known to each process by itself; nothing is sent to everybody.
"""

from __future__ import annotations

import os
import time
import uuid
from functools import cached_property
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import filesystem, virtual
from kombu.utils.json import dumps, loads


class Channel(filesystem.Channel):
    """One folder, one file for each message."""

    supports_fanout = False

    @cached_property
    def data_folder_in(self) -> str:
        """Where messages wait; made when it is missing."""
        folder = str(self.transport_options["data_folder_in"])
        os.makedirs(folder, mode=0o700, exist_ok=True)
        return folder

    def _put(self, queue: str, message: Any, **kwargs: Any) -> None:  # type: ignore[override]  # the two above differ
        target = Path(self.data_folder_in) / f"{time.time_ns():020}_{uuid.uuid4().hex}.{queue}.msg"
        beside = target.with_suffix(".new")
        try:
            beside.write_text(dumps(message))
            os.replace(beside, target)
        except OSError:
            beside.unlink(missing_ok=True)
            raise

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        ending = f".{queue}.msg"
        for name in sorted(name for name in os.listdir(self.data_folder_in) if name.endswith(ending)):
            path = Path(self.data_folder_in) / name
            try:
                words = path.read_text()
                path.unlink()
            except FileNotFoundError:  # another worker has it
                continue
            return loads(words)
        raise Empty

    def _queue_bind(self, exchange: str, routing_key: str | None, pattern: str | None, queue: str) -> None:
        """Nothing is written down: each process binds the same queue when it starts."""

    def get_table(self, exchange: str) -> Any:
        """The routes of an exchange, as this process has bound them."""
        return virtual.Channel.get_table(self, exchange)


class Transport(filesystem.Transport):
    """Kombu's transport over these channels."""

    Channel = Channel
    global_state = virtual.BrokerState()
    implements = virtual.Transport.implements
    driver_type = "folder"
    driver_name = "folder"
