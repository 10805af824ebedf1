"""One spelling of a record, and the chain of digests."""

import hashlib
import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import StrEnum
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.canonical import NotCanonical, canonical_json, chain_digest


class _Word(StrEnum):
    ACTIVE = "active"


@pytest.mark.parametrize(
    ("value", "spelled"),
    [
        (None, "null"),
        (True, "true"),
        (7, "7"),
        ("Pélican “x”", '"Pélican “x”"'),
        (_Word.ACTIVE, '"active"'),
        ([1, (2, 3)], "[1,[2,3]]"),
        ({"b": 1, "a": 2, "É": 3, "Z": 4}, '{"Z":4,"a":2,"b":1,"É":3}'),
        (Decimal("13.40"), '"13.4"'),
        (Decimal("1E+3"), '"1000"'),
        (Decimal("100"), '"100"'),
        (Decimal("-0.00"), '"0"'),
        (Decimal("0.000000123"), '"0.000000123"'),
        (date(2026, 5, 1), '"2026-05-01"'),
        (datetime(2026, 5, 1, 9, 30, tzinfo=UTC), '"2026-05-01T09:30:00.000000Z"'),
        (
            datetime(2026, 5, 1, 0, 30, 0, 12, tzinfo=timezone(timedelta(hours=2))),
            '"2026-04-30T22:30:00.000012Z"',
        ),
        (datetime(1, 1, 2, tzinfo=UTC), '"0001-01-02T00:00:00.000000Z"'),
        (UUID(int=1), '"00000000-0000-0000-0000-000000000001"'),
    ],
)
def test_each_type_has_one_spelling(value, spelled):
    assert canonical_json(value).decode() == spelled


@pytest.mark.parametrize(
    "value",
    [1.5, float("nan"), Decimal("NaN"), Decimal("Infinity"), datetime(2026, 5, 1), {1: 2}, {"a": {None: 1}},
     b"x", {1, 2},
     "\ud800", {"\udc00": 1}, object()],
)  # fmt: skip
def test_what_has_no_single_spelling_is_refused(value):
    with pytest.raises(NotCanonical):
        canonical_json({"deep": [value]})


def test_the_place_of_the_trouble_is_named():
    with pytest.raises(NotCanonical, match=r"value\.readings\[1\]"):
        canonical_json({"readings": [Decimal(1), 1.5]})


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.text()
    | st.decimals(allow_nan=False, allow_infinity=False, places=3),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
def test_reading_it_back_and_spelling_it_again_gives_the_same_bytes(value):
    spelled = canonical_json(value)
    assert canonical_json(json.loads(spelled)) == spelled


@given(st.dictionaries(st.text(), st.integers(), min_size=2, max_size=6), st.randoms(use_true_random=False))
def test_the_order_of_keys_does_not_matter(record, random):
    items = list(record.items())
    random.shuffle(items)
    assert canonical_json(dict(items)) == canonical_json(record)


def test_a_digest_is_sha256_over_the_previous_digest_and_the_body():
    first = chain_digest("", b'{"a":1}')
    assert first == hashlib.sha256(b'{"a":1}').hexdigest()
    second = chain_digest(first, b'{"a":2}')
    assert second == hashlib.sha256(first.encode() + b'{"a":2}').hexdigest()
    assert chain_digest(second, b"x") != chain_digest(first, b"x")


@pytest.mark.parametrize("previous", ["0", "Z" * 64, "A" * 64, "a" * 63, "a" * 64 + "\n"])
def test_a_previous_that_is_no_digest_is_refused(previous):
    with pytest.raises(ValueError, match="previous digest"):
        chain_digest(previous, b"")
