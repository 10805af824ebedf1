"""Papers in the store, exactly as they were signed."""

from __future__ import annotations

from commands.refusals import Refused
from files import store


def read_kept(digest: str, called: str) -> bytes:
    """The PDF of a paper. ``called``: what it is in a sentence: "report 1032-1".

    Raises:
        Refused: the file is missing, or is not what was signed.
    """
    try:
        return store.read(digest)
    except store.FileProblem as problem:
        if problem.is_missing:
            raise Refused(
                f"The file of {called} is missing from the media folder. Restore it from a backup."
            ) from problem
        raise Refused(
            f"The stored file of {called} is not what was signed. Restore it from a backup; do not hand it out."
        ) from problem
