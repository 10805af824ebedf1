"""Serves single requests in process and says what each one cost, in wall time and in the processors' time.

``python -m benchmarks.server`` reads a line of JSON for each request and answers with one. The processors' time is this
process's own and that of the database's process that works for it.
"""

from __future__ import annotations

import io
import json
import sys
import time
from pathlib import Path
from typing import Any

from benchmarks.counting import rows_counted
from benchmarks.ground import set_up_django


def make_session() -> str:
    """Log the owner in: they see every page. The session's key."""
    from django.conf import settings
    from django.test import Client

    from staff.models import Person

    client = Client()
    client.force_login(Person.objects.get(username="owner"))
    return str(client.cookies[settings.SESSION_COOKIE_NAME].value)


def middle_of_long_log() -> str:
    """The address of a page in the middle of the long log."""
    from urllib.parse import urlencode

    from vessels.models import LogEntry, Vessel

    entry = LogEntry.objects.get(vessel=1, position=Vessel.objects.get(pk=1).log_position // 2)
    return f"/vessels/1/log/?{urlencode({'before': f'{entry.happened_at.isoformat()}_{entry.position}'})}"


class Server:
    """The program's own WSGI application, with the bare page added."""

    def __init__(self) -> None:
        from django.conf import settings
        from django.core.wsgi import get_wsgi_application

        settings.ROOT_URLCONF = "benchmarks.urls"
        self.application = get_wsgi_application()
        self.session = make_session()
        self.middle = middle_of_long_log()

    def serve(self, address: str) -> dict[str, Any]:
        """One request, whole: its status, wall time, processors' time and bytes."""
        environment = self._environment(address)
        status: list[str] = []
        processor, wall = self._processor_time(), time.perf_counter()
        answer = self.application(environment, lambda line, *_: status.append(line))
        size = sum(len(part) for part in answer)
        answer.close()
        wall = time.perf_counter() - wall
        return {"status": int(status[0][:3]), "wall": wall, "cpu": self._processor_time() - processor, "bytes": size}

    def count_queries(self, address: str) -> dict[str, Any]:
        """How many queries one request asks, and how many rows they give."""
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as asked, rows_counted() as counted:
            self.serve(address)
        return {"queries": len(asked), "rows": counted.rows, "sql": [query["sql"] for query in asked]}

    def _environment(self, address: str) -> dict[str, Any]:
        path, _, query = address.partition("?")
        return {
            "REQUEST_METHOD": "GET",
            "PATH_INFO": path,
            "QUERY_STRING": query,
            "SERVER_NAME": "127.0.0.1",
            "SERVER_PORT": "8000",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "REMOTE_ADDR": "127.0.0.1",
            "HTTP_HOST": "127.0.0.1:8000",
            "HTTP_COOKIE": f"sessionid={self.session}",
            "wsgi.input": io.BytesIO(),
            "wsgi.errors": sys.stderr,
            "wsgi.url_scheme": "http",
            "wsgi.version": (1, 0),
            "wsgi.multithread": True,
            "wsgi.multiprocess": True,
            "wsgi.run_once": False,
        }

    def _processor_time(self) -> float:
        """Seconds on a processor so far, of this process and of its database's process."""
        from django.db import connection

        own = time.process_time()
        if connection.connection is None:
            return own
        return own + _time_on_processor(connection.connection.info.backend_pid)


def _time_on_processor(pid: int) -> float:
    """Of another process: to the nanosecond where the kernel tells, else to the hundredth of a second."""
    try:
        return int(Path(f"/proc/{pid}/schedstat").read_text().split()[0]) / 1e9
    except OSError:
        import psutil

        times = psutil.Process(pid).cpu_times()
        return float(times.user + times.system)


def main() -> None:
    """Answer until there is nothing more to read."""
    set_up_django()
    server = Server()
    print(json.dumps({"session": server.session, "middle": server.middle}), flush=True)
    for line in sys.stdin:
        asked = json.loads(line)
        work = server.count_queries if asked.get("count") else server.serve
        print(json.dumps(work(asked["address"])), flush=True)


if __name__ == "__main__":
    main()
