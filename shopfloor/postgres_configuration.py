"""How the embedded PostgreSQL is configured: what `garboard.conf` in its folder says."""

from __future__ import annotations

from pathlib import Path


def configuration(sockets: Path, *, durable: bool) -> str:
    """The text of the file. A cluster that is not ``durable`` loses its data in a crash: for tests."""
    lines = {
        "listen_addresses": "",
        "unix_socket_directories": str(sockets),
        "unix_socket_permissions": "0700",
        "port": "5432",
        "max_connections": "100" if durable else "200",
        "logging_collector": "on",
        "log_filename": "postgresql-%a.log",
        "log_rotation_age": "1d",
        "log_truncate_on_rotation": "on",
        # What people type stays out of this log: errors of questions go to the program that asked.
        "log_min_messages": "log",
        "log_min_error_statement": "panic",
        "log_error_verbosity": "terse",
        "log_statement": "none",
        "log_parameter_max_length": "0",
        "log_parameter_max_length_on_error": "0",
    }
    if not durable:
        lines |= {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off", "autovacuum": "off"}
    return "".join(f"{name} = '{value.replace(chr(39), chr(39) * 2)}'\n" for name, value in lines.items())
