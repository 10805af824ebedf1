"""Keys and values of a JSON or XML text as words: a "spn":190 there says what "spn: 190" says anywhere."""

import re

_KEY = re.compile(
    r"\"([A-Za-z][A-Za-z_ ]{0,24})\"\s{0,4}:\s{0,4}(?:\"([^\"\n]{0,80})\"|(-?[0-9.]{1,12}|true|false|null)(?![\w.]))"
)
_TAG = re.compile(r"<(?!(?:[sS]|del|DEL|strike)>)([A-Za-z][A-Za-z_]{0,24})>([^<>\n]{0,80})</\1>")
_LEADER = re.compile(r" {0,3}(?:\.{3,}|_{3,}) {0,3}(?=\S)")
"""The dots or lines that lead from a name to its value."""
_LAST_COMMA = re.compile(r",\s*$")


def without_markup(raw: str) -> str:
    """The line with "key": "value" and <key>value</key> as key: value, parted by semicolons between them."""
    if "..." in raw or "___" in raw:
        raw = _LEADER.sub(": ", raw)
    if "</" in raw:
        raw = _TAG.sub(r"\1: \2; ", raw)
    if '":' in raw or '" :' in raw:
        changed, times = _KEY.subn(lambda found: f"{found[1]}: {found[2] if found[3] is None else found[3]}", raw)
        raw = _LAST_COMMA.sub("", changed) if times else raw
    return raw
