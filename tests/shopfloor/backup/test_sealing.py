"""A sealed stream: whole or refused, whatever is done to it."""

from __future__ import annotations

import hashlib
import io
import random
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from shopfloor.backup import sealing
from shopfloor.backup.sealing import PIECE, Opened, SealError, Sealing, read_passphrase

PASSPHRASE = "correct horse battery"


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sealing, "COST", 4)


def sealed(data: bytes, passphrase: str = PASSPHRASE) -> bytes:
    out = io.BytesIO()
    one = Sealing(out, passphrase)
    for start in range(0, len(data), 777_777):
        one.write(data[start : start + 777_777])
    one.finish()
    return out.getvalue()


def opened(data: bytes, passphrase: str = PASSPHRASE) -> bytes:
    return io.BufferedReader(Opened(io.BytesIO(data), passphrase)).read()


@pytest.mark.parametrize("size", [0, 1, PIECE - 1, PIECE, PIECE + 1, 3 * PIECE, 3 * PIECE + 5])
def test_what_was_sealed_comes_back(size: int) -> None:
    data = random.Random(size).randbytes(size)
    assert opened(sealed(data)) == data


def test_no_byte_can_be_changed_taken_or_added() -> None:
    whole = sealed(random.Random(1).randbytes(2 * PIECE + 100))
    for at in [*range(18, 43), 60, PIECE, PIECE + 60, len(whole) - 1]:
        broken = whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :]
        with pytest.raises(SealError):
            opened(broken)
    pieces = [whole[42:][at : at + PIECE + 16] for at in range(0, len(whole) - 42, PIECE + 16)]
    for mixed in [[pieces[0]], pieces[:2], pieces[1:], [pieces[1], pieces[0], pieces[2]], [*pieces, pieces[2]], []]:
        with pytest.raises(SealError):
            opened(whole[:42] + b"".join(mixed))
    with pytest.raises(SealError, match="cut off"):
        opened(whole[:-1])


def test_another_passphrase_and_another_file_are_said() -> None:
    with pytest.raises(SealError, match="The passphrase is another one"):
        opened(sealed(b"x"), "correct horse batterie")
    for stranger in [b"", b"PK\x03\x04", b"garboard backup 1\n"]:
        with pytest.raises(SealError, match="no backup of this program"):
            opened(stranger)


def test_the_cost_in_a_header_is_bounded() -> None:
    whole = bytearray(sealed(b"x"))
    whole[18] = 60
    with pytest.raises(SealError, match="damaged at its beginning"):
        opened(bytes(whole))


def test_it_is_plain_scrypt_and_gcm_so_that_others_can_open_it() -> None:
    """By the standard library's scrypt (RFC 7914), and AES-GCM over the one piece with the header."""
    data = sealed(b"as it was")
    header, body = data[:42], data[42:]
    key = hashlib.scrypt(PASSPHRASE.encode(), salt=header[19:35], n=2**4, r=8, p=1, dklen=32)
    assert AESGCM(key).decrypt(header[35:42] + b"\0\0\0\0\1", body, header) == b"as it was"


def test_two_seals_of_the_same_are_not_alike() -> None:
    assert sealed(b"x") != sealed(b"x")


@pytest.mark.parametrize("text", ["short", "", "          short   \nand a long second line"])
def test_a_passphrase_that_keeps_nobody_out_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "phrase").write_text(text)
    with pytest.raises(SealError, match="12 characters"):
        read_passphrase(tmp_path / "phrase")
    with pytest.raises(SealError, match="can't be read"):
        read_passphrase(tmp_path / "away")
