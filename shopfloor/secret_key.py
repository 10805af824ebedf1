"""The key that sessions are signed with: given in the environment, or made once and kept under ``var/``."""

from __future__ import annotations

import os
import secrets
import time
from pathlib import Path

from shopfloor.environment import PROBLEMS, Problem, text


def _secret_in(file: Path) -> str:
    """The key that was kept; another process that starts at the same moment may not have written it yet."""
    hint = "Delete the file, and a new key is made: everybody then logs in again. Or set SECRET_KEY yourself."
    try:
        for _ in range(20):
            if kept := file.read_text().strip():
                return kept
            time.sleep(0.1)
        PROBLEMS.append(Problem("SECRET_KEY", f"{file}, where the secret key is kept, is empty.", hint))
    except PermissionError:
        hint = "Give the file to the user that the program runs as, or start it as the user who has it."
        PROBLEMS.append(Problem("SECRET_KEY", f"{file}, where the secret key is kept, belongs to another user.", hint))
    except (OSError, UnicodeDecodeError):
        PROBLEMS.append(Problem("SECRET_KEY", f"{file}, where the secret key is kept, can't be read.", hint))
    return secrets.token_urlsafe(50)


def kept_secret(var: Path) -> str:
    """The secret key: given, or made once and kept in this folder."""
    given = text("SECRET_KEY")
    if given:
        return given
    file = var / "secret_key"
    try:
        var.mkdir(parents=True, exist_ok=True)
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _secret_in(file)
    except OSError:
        return secrets.token_urlsafe(50)  # the checks refuse a var folder that can't be written
    with os.fdopen(handle, "w") as out:
        out.write(secrets.token_urlsafe(50))
    return file.read_text().strip()
