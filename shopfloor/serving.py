"""The web server: gunicorn in this process, with the settings of the house."""

from __future__ import annotations

import errno
import os
import signal
import socket
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler
from gunicorn.app.base import BaseApplication


class PortTakenError(RuntimeError):
    """Nobody can be served at this address; the message says what to do."""


class WebServer(BaseApplication):
    """Gunicorn with our application loaded once, before its workers are forked."""

    def __init__(self, application: WSGIHandler, when_ready: Callable[[], None]) -> None:
        self.application = application
        self.when_ready = when_ready
        super().__init__()

    def load_config(self) -> None:
        """Give gunicorn its settings; nothing is read from files, arguments or GUNICORN_CMD_ARGS."""
        for name, value in self.configuration().items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """The application that the workers serve."""
        return self.application

    def configuration(self) -> dict[str, Any]:
        """Gunicorn's settings by name."""
        return {
            "bind": f"{settings.BIND}:{settings.PORT}",
            "workers": settings.WEB_CONCURRENCY,
            "worker_class": "shopfloor.waiting_room.PatientWorker",
            "threads": settings.WEB_THREADS,
            # Loaded once and shared: workers start at once and cost only what they write.
            "preload_app": True,
            "timeout": 90,  # the longest answer is a report made in the web process
            "graceful_timeout": 20,
            "keepalive": 15,
            # A worker is replaced now and then, so that no slow leak lasts.
            "max_requests": 10_000,
            "max_requests_jitter": 1_000,
            "worker_tmp_dir": "/dev/shm" if os.access("/dev/shm", os.W_OK) else None,  # noqa: S108  gunicorn makes its own file
            "control_socket_disable": True,
            "forwarded_allow_ips": "127.0.0.1,::1" if settings.BIND in {"127.0.0.1", "::1"} else "*",
            "loglevel": "warning",
            "accesslog": None,
            "proc_name": "garboard",
            "when_ready": self._tell_ready,
        }

    def _tell_ready(self, arbiter: Any) -> None:
        # Gunicorn reloads on SIGHUP; a closed terminal should stop it instead.
        if os.isatty(0):
            signal.signal(signal.SIGHUP, lambda *_: os.kill(os.getpid(), signal.SIGTERM))
        self.when_ready()


def refuse_taken_port() -> None:
    """Say at once, before the long work, that somebody else listens where we should."""
    family = socket.AF_INET6 if ":" in settings.BIND else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((settings.BIND, settings.PORT))
        except OSError as problem:
            raise PortTakenError(_why_not(problem)) from problem


def _why_not(problem: OSError) -> str:
    if problem.errno == errno.EADDRINUSE:
        return (
            f"Port {settings.PORT} is taken by another program, perhaps by Garboard in another window. "
            f"Stop that one, or choose another port, for instance PORT={settings.PORT + 1}."
        )
    if problem.errno == errno.EACCES:
        return f"Port {settings.PORT} is kept for root. Choose one of 1024 or more, for instance PORT=8000."
    return (
        f"BIND={settings.BIND} is not an address of this machine ({problem.strerror}). "
        "Leave BIND out, or give 0.0.0.0 for all of its addresses."
    )
