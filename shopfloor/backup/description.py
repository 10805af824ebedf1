"""What a backup says of itself: what is in it, of which moment, and how it is known to be whole."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any

FORM = 1
DESCRIPTION = "description.json"
DATABASE = "database/"
FILES = "files/"
KEYS = "keys/"


@dataclass(frozen=True)
class Description:
    """``entries``: size and SHA-256 of each thing inside; ``tables``: rows and digest; ``head``: of the log."""

    form: int
    made_at: str
    number: int
    head: str
    migrations: list[list[str]]
    tables: dict[str, list[str]]
    entries: dict[str, list[Any]]
    damaged: list[str]

    def to_json(self) -> bytes:
        """As it is written."""
        return json.dumps(asdict(self), indent=1).encode()

    @classmethod
    def from_json(cls, text: bytes) -> Description:
        """As it was written.

        Raises:
            ValueError: it is no description, or one of a later form.
        """
        found = json.loads(text)
        if not isinstance(found, dict) or found.get("form") != FORM:
            raise ValueError("this backup was made by a newer version of the program")
        return cls(**found)
