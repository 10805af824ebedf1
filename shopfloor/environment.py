"""Reading settings from the environment, so that a wrong one ends in a sentence and not in a traceback.

A value that can't be read is remembered in ``PROBLEMS`` and its default stands in, until ``shopfloor/checks.py``
refuses to go on. The file named by ``GARBOARD_SETTINGS`` (``.env`` beside ``manage.py`` when not given) counts as
environment too; what is set in the environment itself comes first.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import ip_network
from pathlib import Path
from typing import TypeVar
from urllib.parse import SplitResult, urlsplit

from environs import Env, EnvError

ROOT = Path(__file__).resolve().parent.parent
Value = TypeVar("Value")


@dataclass(frozen=True)
class Problem:
    """One setting that can't be used, and how to mend it."""

    name: str
    says: str
    hint: str


PROBLEMS: list[Problem] = []
env = Env()
env.read_env(os.environ.get("GARBOARD_SETTINGS") or ROOT / ".env", recurse=False)


def text(name: str, default: str = "") -> str:
    """A setting that is any text."""
    return env.str(name, default).strip()


def names(name: str) -> list[str]:
    """A setting that is a list, with commas between."""
    return [part.strip() for part in text(name).split(",") if part.strip()]


def networks(name: str) -> list[str]:
    """A list of addresses or networks of machines, with commas between."""

    def each(name: str) -> list[str]:
        return [str(ip_network(part)) for part in names(name)]

    hint = f"Write addresses or networks with commas between, for instance {name}=127.0.0.1,172.16.0.0/12."
    return _read(name, [], each, "has something that is no address and no network", hint)


def switch(name: str, *, default: bool) -> bool:
    """A setting that is on or off."""
    return _read(name, default, env.bool, "is neither on nor off", f"Write {name}=true or {name}=false.")


def number(name: str, default: int, *, least: int, most: int) -> int:
    """A whole number within limits."""

    def within_limits(name: str) -> int:
        value = env.int(name)
        if not least <= value <= most:
            raise ValueError(value)
        return value

    says = f"is not a whole number from {least} to {most}"
    return _read(
        name, default, within_limits, says, f"Enter a number, for instance {name}={default}, or leave {name} out."
    )


def word(name: str, default: str, choices: list[str]) -> str:
    """One word out of a few, in capitals or not."""

    def one_of_them(name: str) -> str:
        value = env.str(name).strip().upper()
        if value not in choices:
            raise ValueError(value)
        return value

    return _read(name, default, one_of_them, "is not a word known here", f"Enter one of {', '.join(choices)}.")


def address(name: str, schemes: list[str], example: str) -> str:
    """A URL of certain schemes, or nothing."""

    def of_a_scheme(name: str) -> str:
        value = env.str(name).strip()
        parts = split_address(value)
        if parts is None or parts.scheme not in schemes:
            raise ValueError(value)
        return value

    says = f"is not an address that begins with {' or '.join(scheme + '://' for scheme in schemes)}"
    return _read(name, "", of_a_scheme, says, f"Write it like {name}={example}, or leave {name} out.")


def split_address(value: str) -> SplitResult | None:
    """The parts of a URL, or none where it is not one."""
    try:
        parts = urlsplit(value)
        parts.port  # noqa: B018  reading it checks it
    except ValueError:
        return None
    return None if re.search(r"\s", value) else parts


def _read(name: str, default: Value, read: Callable[[str], Value], says: str, hint: str) -> Value:
    if not env.str(name, "").strip():
        return default
    try:
        return read(name)
    except (EnvError, ValueError):
        PROBLEMS.append(Problem(name, f"{name} {says}.", hint))
        return default
