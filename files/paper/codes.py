"""The short random codes that go with the numbers of documents, so that a number alone opens nothing."""

from __future__ import annotations

import secrets

# No letter or digit that is taken for another one: 0 O, 1 I L, 2 Z, 5 S, 8 B, U V.
ALPHABET = "34679ACDEFGHJKMNPQRTWXY"
GROUPS, GROUP = 2, 5


def new_code() -> str:
    """A random code such as "H7KM9-4RWPC": 10 signs out of 23, some 45 bits."""
    return "-".join("".join(secrets.choice(ALPHABET) for _ in range(GROUP)) for _ in range(GROUPS))


def tidy_code(text: str) -> str:
    """A code as a person types it, in the spelling of the paper."""
    signs = "".join(sign for sign in text.upper() if sign.isalnum())[: GROUPS * GROUP + 1]
    return "-".join(signs[start : start + GROUP] for start in range(0, len(signs), GROUP))
