"""One spelling of a record in JSON, and the chain of digests over such records."""

import hashlib
import json
import re
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

_DIGEST = re.compile(r"[0-9a-f]{64}")


class NotCanonical(TypeError):  # noqa: N818 - reads as a statement about the value
    """The value has no single canonical spelling, such as a float or a time without a zone."""


def canonical_json(value: Any) -> bytes:
    """The one canonical JSON spelling of a value, as UTF-8 bytes.

    Keys are sorted by code point and there is no white space. Decimals become plain strings without trailing
    zeros ("13.4"), aware datetimes UTC with microseconds ("2026-05-01T09:30:00.000000Z"), dates ISO, UUIDs their
    usual text. Raises :class:`NotCanonical` for a float, NaN, a naive datetime, a key that is not text, a lone
    surrogate, or a type that has no rule here.
    """
    plain = _plain(value, "value")
    spelled = json.dumps(plain, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))
    try:
        return spelled.encode("utf-8")
    except UnicodeEncodeError as error:
        raise NotCanonical("A text holds half of a surrogate pair, which UTF-8 cannot spell.") from error


def chain_digest(previous: str, body: bytes) -> str:
    """SHA-256, in lower-case hex, over the previous digest's 64 ASCII characters followed by the body.

    The first record of a chain has the empty text as previous. Raises ValueError for any other previous.
    """
    if previous and not _DIGEST.fullmatch(previous):
        raise ValueError("The previous digest must be 64 lower-case hex characters, or empty for the first record.")
    return hashlib.sha256(previous.encode("ascii") + body).hexdigest()


def _plain(value: Any, where: str) -> Any:
    """The value with every special type replaced by its text. ``where`` names the place for the error."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, int):
        return int(value)
    if isinstance(value, dict):
        return _plain_object(value, where)
    if isinstance(value, list | tuple):
        return [_plain(item, f"{where}[{index}]") for index, item in enumerate(value)]
    return _plain_text(value, where)


def _plain_object(value: dict[Any, Any], where: str) -> dict[str, Any]:
    result: dict[str, Any] = {}
    for key, item in value.items():
        if not isinstance(key, str):
            raise NotCanonical(f"{where} has the key {key!r}, which is not text.")
        result[str(key)] = _plain(item, f"{where}.{key}")
    return result


def _plain_text(value: Any, where: str) -> str:
    if isinstance(value, Decimal):
        if not value.is_finite():
            raise NotCanonical(f"{where} is {value}, which is not a number.")
        return plain_decimal(value)
    if isinstance(value, datetime):
        if value.utcoffset() is None:
            raise NotCanonical(f"{where} is a time without a zone.")
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ").rjust(27, "0")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    raise NotCanonical(f"{where} is a {type(value).__name__}, which has no canonical spelling.")


def plain_decimal(value: Decimal) -> str:
    """A finite decimal without exponent and without trailing zeros; zero has no sign."""
    if value.is_zero():
        return "0"
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
