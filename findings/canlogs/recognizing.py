"""Refusing at the door what can be no CAN log, by its first bytes. What is one is told by reading it."""

from __future__ import annotations

import zlib

from commands.refusals import Refused

HEAD = 64 * 1024
_OTHERS = [
    (b"PK\x03\x04", "This is a ZIP archive. Unpack it, and add the log that is in it."),
    (b"7z\xbc\xaf", "This is a 7-Zip archive. Unpack it, and add the log that is in it."),
    (b"Rar!", "This is a RAR archive. Unpack it, and add the log that is in it."),
    (b"\xfd7zXZ", "This is packed with xz. Unpack it, or pack it with gzip."),
    (b"BZh", "This is packed with bzip2. Unpack it, or pack it with gzip."),
    (b"%PDF", "This is a PDF, not a CAN log."),
    (b"\x89PNG", "This is a picture, not a CAN log."),
    (b"\xff\xd8\xff", "This is a picture, not a CAN log."),
]
LEAST_TEXT = 0.7
"""Of the first bytes of a text log: a cut of power can leave zeros in it, another kind of file is full of them."""
_NO_TEXT = bytes(code for code in range(256) if not (32 <= code < 127 or code in b"\t\r\n"))
_GZIP, _BLF = b"\x1f\x8b", b"LOGG"
NOT_A_LOG = (
    "This is no CAN log that can be read here. Add a candump, ASC, BLF or TRC file, as it is or packed with gzip."
)


def refuse_what_is_no_log(head: bytes) -> None:
    """Refuse a file by its first bytes.

    Raises:
        Refused: with the sentence for the field ``file``.
    """
    if head.startswith(_GZIP):
        head = _unpacked(head)
        if head.startswith(_GZIP):
            raise _refused("This is packed with gzip twice. Unpack it once and add it again.")
    if not head:
        raise _refused("This file is empty.")
    for magic, sentence in _OTHERS:
        if head.startswith(magic):
            raise _refused(sentence)
    if not head.strip():
        raise _refused("This file has only blanks in it.")
    if not head.startswith(_BLF) and _text_share(head) < LEAST_TEXT:
        raise _refused(NOT_A_LOG)


def _text_share(head: bytes) -> float:
    return len(head.translate(None, delete=_NO_TEXT)) / len(head)


def _unpacked(head: bytes) -> bytes:
    try:
        return zlib.decompressobj(31).decompress(head, HEAD)
    except zlib.error as problem:
        raise _refused("This file is packed with gzip and damaged from its beginning. Copy it again.") from problem


def _refused(sentence: str) -> Refused:
    return Refused("The file was not taken.", fields={"file": sentence})
