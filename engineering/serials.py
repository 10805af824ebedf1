"""Serial numbers in a range, as manuals give them: "from NL-20400 to NL-20999"."""

import re

_APART = re.compile(r"(?<=[A-Z])[\s\-./_]+|[\s\-./_]+(?=[A-Z])")
_COUNTED = re.compile(r"(.*?[^0-9])?([0-9]{1,18})")


def _parts(serial: str) -> tuple[str, int] | None:
    """What stands before the number that is counted up, and that number; None where nothing is."""
    found = _COUNTED.fullmatch(_APART.sub("", serial.strip().upper()))
    return (found[1] or "", int(found[2])) if found else None


def are_in_order(first: str, last: str) -> bool:
    """Whether the two ends are of one series, and the first is not above the last."""
    low, high = _parts(first), _parts(last)
    return low is not None and high is not None and low[0] == high[0] and low[1] <= high[1]


def is_in_range(serial: str, first: str, last: str) -> bool | None:
    """Whether a serial number lies from ``first`` to ``last``, both of them among it; None where that is not certain.

    Spaces, hyphens beside letters and small letters make no difference, nor do zeros before the number. Only numbers of
    one series are compared: what stands before the last group of digits is the same (common practice, no source). An
    end that is empty is open.
    """
    ends = [_parts(end) for end in (first, last) if end]
    own = _parts(serial)
    if own is None or not ends or any(end is None or end[0] != own[0] for end in ends):
        return None
    low, high = _parts(first) if first else None, _parts(last) if last else None
    return (low is None or low[1] <= own[1]) and (high is None or own[1] <= high[1])
