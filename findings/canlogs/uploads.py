"""How a large file comes in: straight to the disk that it will stay on, its digest taken on the way."""

from __future__ import annotations

import errno
import hashlib
import time
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import TemporaryUploadedFile, UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, StopUpload

from files.durable import make_folder

LEFT_AFTER_SECONDS = 24 * 3600.0


class IncomingFile(TemporaryUploadedFile):
    """A file on its way in. It lies beside the media folder, so that storing it is a rename and no copy."""

    def __init__(self, name: str, content_type: str | None, charset: str | None, folder: Path) -> None:
        file = NamedTemporaryFile(suffix=".upload", dir=folder)  # noqa: SIM115  lives as long as the request
        UploadedFile.__init__(self, file, name, content_type, 0, charset)
        self.sha256 = ""


class LogUploadHandler(FileUploadHandler):
    """Writes what comes in to disk, whatever its size, and takes its digest.

    ``is_out_of_room`` says that the disk could not take it; nothing of the file is kept then.
    """

    chunk_size = 256 * 1024
    is_out_of_room = False

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Begin a file."""
        super().new_file(*args, **kwargs)
        folder = Path(settings.MEDIA_ROOT) / "uploads"
        make_folder(folder)
        _sweep(folder)
        self._file = IncomingFile(self.file_name or "", self.content_type, self.charset, folder)
        self._sha256 = hashlib.sha256()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Write a piece."""
        try:
            self._file.write(raw_data)
        except OSError as problem:
            if problem.errno not in {errno.ENOSPC, errno.EDQUOT}:
                raise
            self.is_out_of_room = True
            self._file.close()
            raise StopUpload from problem
        self._sha256.update(raw_data)

    def file_complete(self, file_size: int) -> UploadedFile[Any]:
        """The file is whole."""
        self._file.seek(0)
        self._file.size = file_size
        self._file.sha256 = self._sha256.hexdigest()
        return self._file

    def upload_interrupted(self) -> None:
        """The browser went away: keep nothing."""
        if hasattr(self, "_file"):
            self._file.close()


def _sweep(folder: Path) -> None:
    """Take away what a killed process left behind."""
    for left in folder.glob("*.upload"):
        try:
            if time.time() - left.stat().st_mtime > LEFT_AFTER_SECONDS:
                left.unlink()
        except FileNotFoundError:  # its request has just ended
            continue
