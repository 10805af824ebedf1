"""Where the data is: a PostgreSQL of the shop's own, or an embedded one under ``var/``."""

from __future__ import annotations

import os
from pathlib import Path

from shopfloor.environment import ROOT


def var_folder() -> Path:
    """The folder for everything that is not code: database, media, secret key."""
    return Path(os.environ.get("GARBOARD_VAR") or ROOT / "var")


def start_database(folder: Path | None = None, *, durable: bool = True) -> None:
    """Make ``DATABASE_URL`` true: start the embedded PostgreSQL unless another one is named.

    The server is shared by every process that uses the same folder and stops with the last of them.
    """
    if os.environ.get("DATABASE_URL"):
        return
    from shopfloor.postgres import EmbeddedPostgres

    server = EmbeddedPostgres(folder or var_folder() / "postgresql", durable=durable)
    owner = server.acquire()
    # Tests make and drop databases of their own: they work as the owner.
    os.environ["DATABASE_URL"] = server.program_url if durable else owner
    if durable:
        os.environ["MIGRATION_DATABASE_URL"] = owner


__all__ = ["ROOT", "start_database", "var_folder"]
