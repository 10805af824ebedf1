"""What is kept of a document is spelled by a rule that is older than the library that spells it now: digests stay."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billing.documents.frozen import freeze, thawed
from billing.invoices.record import Document
from engineering.canonical import canonical_json, plain_decimal
from engineering.codes import CodeStatus
from engineering.dataclass_json import UnreadableRecord, dataclass_converter, structured
from findings.reports.record import Findings, from_json, plain_facts, to_json
from findings.reports.record.job import PartFacts
from tests.findings.reports import sample

RECORD = sample.record()
ZONES = st.sampled_from([UTC, timezone(timedelta(hours=-7)), timezone(timedelta(hours=5, minutes=45))])
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=4)


@dataclass(frozen=True)
class Chosen:
    code: str
    status: CodeStatus


def values(kind: Any) -> st.SearchStrategy[Any]:
    """Any values of a dataclass, with decimals as people write them and moments of some zone."""
    st.register_type_strategy(str, TEXTS)
    st.register_type_strategy(Decimal, st.decimals(allow_nan=False, allow_infinity=False, places=3))
    st.register_type_strategy(datetime, st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1), timezones=ZONES))
    return st.from_type(kind)


def spelled(value: Any, *, texts: bool) -> Any:
    """The rule by which the first invoices and reports were kept."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: spelled(getattr(value, one.name), texts=texts) for one in fields(value)}
    if isinstance(value, tuple):
        return [spelled(one, texts=texts) for one in value]
    if texts and isinstance(value, Decimal):
        return plain_decimal(value)
    return value.isoformat() if texts and isinstance(value, date) else value


def within(said: Any, now: Any) -> bool:
    """Whether all that was said is still said, letter by letter."""
    if isinstance(said, dict):
        return isinstance(now, dict) and all(name in now and within(one, now[name]) for name, one in said.items())
    if isinstance(said, list):
        return isinstance(now, list) and len(said) == len(now) and all(map(within, said, now))
    return bool(said == now)


@given(values(Document))
def test_an_invoice_is_spelled_as_ever_and_read_back(document: Document) -> None:
    kept = freeze(document)
    data = canonical_json(spelled(document, texts=False))
    assert kept.text.encode() == data
    assert kept.sha256 == hashlib.sha256(data).hexdigest()
    assert thawed(Document, kept.text) == document
    assert freeze(thawed(dict, kept.text)).text == kept.text


def part_of_findings(name: str) -> st.SearchStrategy[tuple[str, Any]]:
    """Some value of one of the findings' fields, one of each list."""
    hint = get_type_hints(Findings)[name]
    some = values(get_args(hint)[0]).map(lambda one: (one,)) if get_origin(hint) is tuple else values(hint)
    return some.map(lambda value: (name, value))


@given(st.sampled_from([one.name for one in fields(Findings)]).flatmap(part_of_findings))
def test_every_part_of_a_report_is_spelled_as_ever_and_read_back(part: tuple[str, Any]) -> None:
    record = replace(RECORD, findings=replace(RECORD.findings, **dict([part])))
    assert plain_facts(record) == spelled(record, texts=True)
    assert to_json(record) == json.dumps(spelled(record, texts=True), ensure_ascii=False, indent=1).encode()
    assert from_json(to_json(record)) == record


def test_a_report_that_was_signed_is_read_to_the_same_text(project_root: Path) -> None:
    """What an older form does not say is added as unsaid; what it says stands in the same spelling."""
    for name in ("first", "second"):
        text = (project_root / f"tests/findings/reports/record-of-the-{name}-form.json").read_text()
        assert within(json.loads(text), json.loads(to_json(from_json(text))))


@pytest.mark.parametrize(
    "wrong",
    [
        {},  # a field without a default is missing
        [],
        None,
        {"number": "1", "description": "", "quantity": "two", "by": "", "at": "2026-05-01T10:00:00+00:00"},
        {"number": "1", "description": "", "quantity": "2", "by": "", "at": "May"},
        {"number": "1", "description": "", "quantity": "2", "by": "", "at": 7},
        {"number": "1", "description": "", "quantity": None, "by": "", "at": "2026-05-01T10:00:00+00:00"},
        {"number": "1", "description": "", "quantity": "2", "by": "", "at": "2026-05-01T10:00:00+00:00", "color": ""},
    ],
)
def test_what_is_no_such_record_is_refused(wrong: Any) -> None:
    with pytest.raises(UnreadableRecord, match="PartFacts"):
        structured(dataclass_converter(), PartFacts, wrong)


def test_a_choice_comes_back_as_the_choice_that_it_was_and_a_wrong_one_is_refused() -> None:
    """An enumeration of texts is equal to its text, so that a text in its place goes unseen until something asks it."""
    converter = dataclass_converter()
    kept = converter.unstructure(Chosen("110-0", CodeStatus.PENDING))
    assert json.dumps(kept) == '{"code": "110-0", "status": "pending"}'
    assert structured(converter, Chosen, json.loads(json.dumps(kept))).status is CodeStatus.PENDING
    with pytest.raises(UnreadableRecord):
        structured(converter, Chosen, {"code": "110-0", "status": "perhaps"})


def test_what_a_text_does_not_say_keeps_its_default() -> None:
    said = {"number": "1", "description": "", "quantity": "2.50", "by": "", "at": "2026-05-01T10:00:00+00:00"}
    part = structured(dataclass_converter(), PartFacts, said)
    assert (part.quantity, part.hours, part.is_fitted) == (Decimal("2.5"), None, False)
    assert part.at == datetime(2026, 5, 1, 10, tzinfo=UTC)
