"""Django's door to the store: whatever name a file is saved under, it gets the one of its digest."""

from __future__ import annotations

import errno
from typing import Any

from django.core.files.base import File
from django.core.files.storage import Storage

from files import store


def digest_of_name(name: str) -> str | None:
    """The digest in a name of the store, or none where the name is no such one."""
    digest = name.rsplit("/", 1)[-1]
    return digest if store.DIGEST.fullmatch(digest) and name == store.name_of(digest) else None


class ContentStorage(Storage):
    """Files of models and forms in the one store."""

    def save(self, name: str | None, content: Any, max_length: int | None = None) -> str:
        """Keep the content; the name that it is found under from now on."""
        file = content if hasattr(content, "chunks") else File(content, name)
        return store.name_of(store.keep_file(file).digest)

    def _open(self, name: str, mode: str = "rb") -> File[Any]:
        if mode != "rb":
            raise ValueError("a kept file is never written to")
        try:
            return File(store.open_file(self._digest(name)), name)
        except store.FileProblem as problem:
            number = errno.ENOENT if problem.is_missing else errno.EIO
            raise OSError(number, problem.sentence, name) from problem

    def delete(self, name: str) -> None:
        """Throw a file away, unless some row still names it."""
        if digest := digest_of_name(name):
            store.discard(digest)

    def exists(self, name: str) -> bool:
        """Whether there is a file of this name, whole or not."""
        digest = digest_of_name(name)
        return digest is not None and store.path_of(digest).is_file()

    def size(self, name: str) -> int:
        """How many bytes the file has."""
        return store.path_of(self._digest(name)).stat().st_size

    def _digest(self, name: str) -> str:
        digest = digest_of_name(name)
        if digest is None:
            raise FileNotFoundError(errno.ENOENT, "There is no such file in the store.", name)
        return digest
