"""Files that were found missing or altered, each remembered by a note of its own until it is kept again.

The notes lie beside the store and not in the database: what a page noticed is not to be forgotten because the page's
transaction was rolled back.
"""

from __future__ import annotations

import logging
from pathlib import Path

from django.conf import settings

from files import durable

logger = logging.getLogger(__name__)
MISSING = "missing"
ALTERED = "altered"


def note(digest: str, what: str) -> None:
    """Remember that a file is missing or altered. That it can't be written down does not keep anybody from reading."""
    path = _folder() / digest
    try:
        if path.exists() and path.read_text() == what:
            return
        durable.make_folder(_folder())
        durable.write(path, [what.encode()])
    except OSError as problem:
        logger.warning("stored file %s is %s, which could not be noted: %s", digest, what, problem.strerror)
    else:
        logger.error("stored file %s is %s", digest, what)


def forget(digest: str) -> None:
    """The file is whole again, or is not needed any more."""
    (_folder() / digest).unlink(missing_ok=True)


def noted() -> dict[str, str]:
    """What was found and not mended yet, by digest."""
    try:
        return {path.name: path.read_text() for path in _folder().iterdir() if not path.name.startswith(".")}
    except FileNotFoundError:
        return {}


def _folder() -> Path:
    return Path(settings.MEDIA_ROOT) / "troubles"
