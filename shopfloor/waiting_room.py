"""A web worker whose threads never wait for a slow sender.

Gunicorn's threaded worker reads a request in a thread, as long as it takes to arrive: sixteen half-sent requests hold
sixteen threads, and nobody else is served. Here a connection waits in the worker's own loop, where waiting costs
nothing, until its head and a body of usual size are there; only then it gets a thread. Larger bodies (files) are read
in threads as they come, so that a view can refuse them first, but they never hold more than half of the threads.
"""

from __future__ import annotations

import re
import selectors
import socket
import struct
import time
from collections import deque
from concurrent.futures import Future
from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:

    class ThreadWorker:
        """What of gunicorn's worker is used here."""

        cfg: Any
        poller: selectors.BaseSelector
        nr_conns: int
        worker_connections: int

        def init_process(self) -> None:
            """Open it."""

        def enqueue_req(self, conn: Any) -> None:
            """Give it a thread."""

        def finish_request(self, conn: Any, fs: Future[Any]) -> None:
            """Keep it alive or close it."""

        def murder_pending(self) -> None:
            """Close what waited too long."""

else:
    from gunicorn.workers.gthread import ThreadWorker

HEAD_PATIENCE = 10.0  # seconds for a request's head to arrive
BODY_PATIENCE = 30.0  # and for a body of usual size
LINGER = 2.0  # how long a closed connection may still send
PAUSE = 20  # the longest silence within a large body
LARGEST_HEAD = 64 * 1024
USUAL_BODY = 256 * 1024  # what is collected before a thread is given; a form is seldom larger
PIECE = 64 * 1024
TOO_LARGE_A_HEAD = b"HTTP/1.1 431 Request Header Fields Too Large\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"

_END = b"\r\n\r\n"
_LENGTH = re.compile(rb"\r\ncontent-length:[ \t]*([0-9]{1,15})[ \t]*(?=\r\n)", re.IGNORECASE)
_CHUNKED = re.compile(rb"\r\ntransfer-encoding:", re.IGNORECASE)
_EXPECTS = re.compile(rb"\r\nexpect:", re.IGNORECASE)  # the sender waits for a word before it sends the body


class PartialRequest:
    """What has arrived of a request, and until when the rest is waited for."""

    def __init__(self, data: bytes = b"") -> None:
        self.data = bytearray()
        self.until = time.monotonic() + HEAD_PATIENCE
        self.wanted: int | None = None  # bytes in all, once the head is there
        self.is_long = False
        self.take(data)

    def take(self, data: bytes) -> None:
        """Note what came; the end of the head says how much is to come."""
        begin = max(0, len(self.data) - len(_END) + 1)
        self.data += data
        if self.wanted is not None or (end := self.data.find(_END, begin)) < 0:
            return
        head = bytes(self.data[: end + len(_END)])
        length = _LENGTH.search(head)
        body = int(length[1]) if length else 0
        self.is_long = body > USUAL_BODY or bool(_CHUNKED.search(head) or _EXPECTS.search(head))
        self.wanted = len(head) if self.is_long else len(head) + body
        self.until = time.monotonic() + BODY_PATIENCE

    @property
    def is_there(self) -> bool:
        """Whether a thread can read it without waiting, or for as long as a large body takes."""
        return self.wanted is not None and len(self.data) >= self.wanted

    @property
    def is_endless(self) -> bool:
        """Whether its head is larger than any of ours."""
        return self.wanted is None and len(self.data) > LARGEST_HEAD


class PatientWorker(ThreadWorker):
    """Gunicorn's threaded worker with a waiting room before its threads. All of this runs in its one loop."""

    def init_process(self) -> None:
        """Open the waiting room."""
        self.waiting: dict[Any, PartialRequest] = {}  # in order of arrival
        self.long_ones: set[Any] = set()  # that hold a thread
        self.long_queue: deque[Any] = deque()
        self.leaving: dict[socket.socket, float] = {}  # closed from here, until when the other end is listened to
        super().init_process()

    def enqueue_req(self, conn: Any) -> None:
        """Wait for a request on this connection, new or kept alive, before a thread is given to it."""
        begun = conn.parser.unreader.take_buffered() if conn.parser is not None else b""
        received = PartialRequest(begun)
        if received.is_there:
            self._pass_on(conn, received)
            return
        conn.sock.setblocking(False)
        self.waiting[conn] = received
        self.poller.register(conn.sock, selectors.EVENT_READ, partial(self._read, conn))
        if len(self.waiting) > max(1, self.worker_connections // 2):
            self._send_away(next(iter(self.waiting)))  # who waits longest makes room

    def _read(self, conn: Any, sock: Any) -> None:
        received = self.waiting[conn]
        try:
            data = sock.recv(PIECE)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        received.take(data)
        if not data:
            self._send_away(conn)
        elif received.is_endless:
            self._send_away(conn, TOO_LARGE_A_HEAD)
        elif received.is_there:
            self._leave(conn)
            self._pass_on(conn, received)

    def _leave(self, conn: Any) -> None:
        self.poller.unregister(conn.sock)
        del self.waiting[conn]

    def _send_away(self, conn: Any, words: bytes = b"") -> None:
        self._leave(conn)
        self.nr_conns -= 1
        try:
            if words:
                conn.sock.send(words)
        except OSError:
            pass
        finally:
            conn.close()

    def _pass_on(self, conn: Any, received: PartialRequest) -> None:
        """Give it a thread, with what has arrived already; of the long ones only so many at once."""
        conn.init()
        conn.close = partial(self._close, conn.sock)
        conn.sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVTIMEO, struct.pack("ll", PAUSE, 0))
        conn.parser.unreader.unread(bytes(received.data))
        conn.data_ready = True
        if not received.is_long:
            super().enqueue_req(conn)
        elif len(self.long_ones) < max(1, self.cfg.threads // 2):
            self._begin_long(conn)
        else:
            self.long_queue.append(conn)

    def _begin_long(self, conn: Any) -> None:
        self.long_ones.add(conn)
        super().enqueue_req(conn)

    def finish_request(self, conn: Any, fs: Future[Any]) -> None:
        """When a long one has ended, the next one begins."""
        if conn in self.long_ones:
            self.long_ones.discard(conn)
            if self.long_queue:
                self._begin_long(self.long_queue.popleft())
        super().finish_request(conn, fs)

    def _close(self, sock: socket.socket, graceful: bool = False) -> None:
        """Close a connection; gracefully, the last words are let through. Gunicorn waits for that in this very loop."""
        try:
            if not graceful:
                sock.close()
                return
            sock.setblocking(False)
            sock.shutdown(socket.SHUT_WR)
            self.poller.register(sock, selectors.EVENT_READ, self._see_off)
            self.leaving[sock] = time.monotonic() + LINGER
        except OSError:
            sock.close()

    def _see_off(self, sock: socket.socket) -> None:
        try:
            rest = sock.recv(PIECE)
        except BlockingIOError:
            return
        except OSError:
            rest = b""
        if not rest:
            self._see_no_more(sock)

    def _see_no_more(self, sock: socket.socket) -> None:
        del self.leaving[sock]
        self.poller.unregister(sock)
        sock.close()

    def murder_pending(self) -> None:
        """Send away who did not finish sending in time."""
        now = time.monotonic()
        for sock in [sock for sock, until in self.leaving.items() if until < now]:
            self._see_no_more(sock)
        for conn in [conn for conn, received in self.waiting.items() if received.until < now]:
            self._send_away(conn)
        super().murder_pending()
