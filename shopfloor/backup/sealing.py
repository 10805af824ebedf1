"""Sealing a stream with a passphrase: scrypt for the key, AES-256-GCM for pieces of it.

Pieces are numbered in their nonces and the last one is marked (the STREAM construction of Hoang, Reyhanitabar, Rogaway
and Vizár, "Online authenticated-encryption and its nonce-reuse misuse-resistance", 2015), so that pieces cannot be
left out, put in another order or cut off at the end without being noticed.
"""

from __future__ import annotations

import io
import os
import struct
from pathlib import Path
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

MAGIC = b"garboard backup 1\n"
COST = 17  # two to the power of it; 128 MB of memory and about half a second
MOST_COST = 20
PIECE = 1024 * 1024
TAG = 16
_HEADER = struct.Struct(f"{len(MAGIC)}sB16s7s")


class SealError(Exception):
    """This is no backup, is damaged, or the passphrase is another one; the sentence says which."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def _cipher(passphrase: str, salt: bytes, cost: int) -> AESGCM:
    return AESGCM(Scrypt(salt=salt, length=32, n=2**cost, r=8, p=1).derive(passphrase.encode()))


def _nonce(prefix: bytes, number: int, *, is_last: bool) -> bytes:
    return prefix + struct.pack(">IB", number, is_last)


class Sealing(io.RawIOBase):
    """Writes what it is given, sealed, to another stream. ``close`` writes the last piece and leaves that one open."""

    def __init__(self, target: BinaryIO, passphrase: str) -> None:
        salt, self._prefix = os.urandom(16), os.urandom(7)
        self._header = _HEADER.pack(MAGIC, COST, salt, self._prefix)
        self._cipher = _cipher(passphrase, salt, COST)
        self._target, self._rest, self._number = target, bytearray(), 0
        target.write(self._header)

    def writable(self) -> bool:
        """It is."""
        return True

    def write(self, data: object, /) -> int:
        """Seal some bytes."""
        view = memoryview(data)  # type: ignore[arg-type]
        self._rest += view
        while len(self._rest) > PIECE:  # the last piece is never empty-handed, so one is always kept back
            self._seal(bytes(self._rest[:PIECE]), is_last=False)
            del self._rest[:PIECE]
        return view.nbytes

    def finish(self) -> None:
        """Write the last piece. Without it the whole is taken for cut off."""
        self._seal(bytes(self._rest), is_last=True)
        self._rest.clear()

    def _seal(self, piece: bytes, *, is_last: bool) -> None:
        nonce = _nonce(self._prefix, self._number, is_last=is_last)
        self._target.write(self._cipher.encrypt(nonce, piece, self._header))
        self._number += 1


class Opened(io.RawIOBase):
    """Reads a sealed stream. Not a byte is given out that was not proven.

    Raises:
        SealError: from any reading.
    """

    def __init__(self, source: BinaryIO, passphrase: str) -> None:
        self._header = source.read(_HEADER.size)
        if len(self._header) < _HEADER.size or not self._header.startswith(MAGIC):
            raise SealError("This file is no backup of this program.")
        _, cost, salt, self._prefix = _HEADER.unpack(self._header)
        if not 1 <= cost <= MOST_COST:
            raise SealError("This backup is damaged at its beginning.")
        self._cipher = _cipher(passphrase, salt, cost)
        self._source, self._number = source, 0
        self._ahead = source.read(PIECE + TAG)
        self._plain = b""
        self._at = 0
        self._is_at_end = False

    def readable(self) -> bool:
        """It is."""
        return True

    def readinto(self, buffer: object, /) -> int:
        """Some proven bytes."""
        view = memoryview(buffer).cast("B")  # type: ignore[arg-type]
        while self._at == len(self._plain):
            if self._is_at_end:
                return 0
            self._next()
        count = min(len(view), len(self._plain) - self._at)
        view[:count] = self._plain[self._at : self._at + count]
        self._at += count
        return count

    def _next(self) -> None:
        piece, self._ahead = self._ahead, self._source.read(PIECE + TAG)
        self._is_at_end = not self._ahead
        try:
            nonce = _nonce(self._prefix, self._number, is_last=self._is_at_end)
            self._plain = self._cipher.decrypt(nonce, piece, self._header)
        except InvalidTag as problem:
            if self._number == 0:
                raise SealError(
                    "The passphrase is another one, or the backup is damaged at its beginning."
                ) from problem
            raise SealError("The backup is damaged or was cut off.") from problem
        self._number, self._at = self._number + 1, 0


def read_passphrase(path: Path) -> str:
    """The first line of a file.

    Raises:
        SealError: there is none, or it is too short to keep anybody out.
    """
    try:
        passphrase = path.read_text().split("\n", 1)[0].strip()
    except OSError as problem:
        raise SealError(f"The passphrase in {path} can't be read ({problem.strerror}).") from problem
    return checked_passphrase(passphrase)


def checked_passphrase(passphrase: str) -> str:
    """A passphrase that may be used.

    Raises:
        SealError: it is too short to keep anybody out.
    """
    if len(passphrase) < 12:
        raise SealError("The passphrase has to have 12 characters or more. Keep it in another place than the backups.")
    return passphrase
