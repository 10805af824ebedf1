"""Are the files there that rows name, and are they what was kept?"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from files import durable, store, troubles
from files.references import Reference, references

LEFT_AFTER_SECONDS = 24 * 3600.0


@dataclass(frozen=True)
class Damage:
    """A file that is missing or altered, and what names it."""

    reference: Reference
    is_missing: bool

    @property
    def sentence(self) -> str:
        """What is wrong with it."""
        what, digest = self.reference.what, self.reference.digest
        if self.is_missing:
            return f"The file of {what} is missing (SHA-256 {digest})."
        return f"The file of {what} is not what was kept (SHA-256 {digest})."


def damages_at_a_glance() -> list[Damage]:
    """What folders, sizes and earlier readings tell; no file is read."""
    there, noted = store.stored_digests(), troubles.noted()
    found = {}
    for one in references():
        size = there.get(one.digest)
        if size is None:
            found[one.digest] = Damage(one, is_missing=True)
        elif (one.size is not None and size != one.size) or noted.get(one.digest) == troubles.ALTERED:
            found[one.digest] = Damage(one, is_missing=False)
    return list(found.values())


def damages_by_digest() -> Iterator[Damage]:
    """What reading every file tells. A file that is whole again loses its note."""
    checked: set[str] = set()
    for one in list(references()):
        if one.digest in checked:
            continue
        checked.add(one.digest)
        try:
            store.open_file(one.digest).close()
        except store.FileProblem as problem:
            yield Damage(one, is_missing=problem.is_missing)
        except ValueError:  # the row names what is no digest, so that no file can be it
            yield Damage(one, is_missing=True)
        except OSError:
            yield Damage(one, is_missing=False)
        else:
            troubles.forget(one.digest)


def sweep() -> int:
    """Take away what writers left beside the store when they were killed; how many there were."""
    swept = 0
    for left in Path(settings.MEDIA_ROOT).glob(f"*/**/.*{durable.BESIDE}"):
        try:
            if time.time() - left.stat().st_mtime > LEFT_AFTER_SECONDS:
                left.unlink()
                swept += 1
        except FileNotFoundError:
            continue
    return swept
