"""A fault's history in one sentence."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given

from engineering.codes import CodeStatus
from engineering.faults import Absent, Cleared, Seen, Worked, explain_state, replay
from tests.engineering.test_fault_replay import EVIDENCE

START = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)


def _moment(day: int, hours: str | None) -> tuple[datetime, Decimal | None]:
    return START + timedelta(days=day), Decimal(hours) if hours else None


def _seen(day: int, hours: str | None, status: CodeStatus = CodeStatus.ACTIVE) -> Seen:
    return Seen(f"s{day}", *_moment(day, hours), status)


def _cleared(day: int, hours: str | None) -> Cleared:
    return Cleared(f"c{day}", *_moment(day, hours))


def _worked(day: int, hours: str | None) -> Worked:
    return Worked(f"w{day}", *_moment(day, hours))


def _absent(day: int, hours: str | None) -> Absent:
    return Absent(f"a{day}", *_moment(day, hours))


@pytest.mark.parametrize(
    ("evidence", "sentence"),
    [
        ([], "Never seen."),
        ([_absent(0, "5")], "Never seen in the scans so far."),
        ([_seen(0, "412.30")], "Active: seen once, at 412.3 h."),
        ([_seen(0, None)], "Active: seen once, on May 1, 2026."),
        (
            [_seen(0, "400", CodeStatus.STORED), _seen(2, "410", CodeStatus.STORED)],
            "Stored: first seen at 400 h, last at 410 h, so it began at some time before.",
        ),
        (
            [_seen(0, "400"), _seen(2, "410", CodeStatus.STORED), _seen(3, "411")],
            "Active: first seen at 400 h, last at 411 h; it comes and goes.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400")],
            "Cleared at 400 h; no complete scan has shown it away since, so nothing is proven yet.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _absent(9, "12")],
            "Cleared on May 2, 2026 and absent on May 10, 2026: holding for 8 days.",
        ),
        (
            [_seen(0, "400"), _absent(9, "12")],
            "Historic: last seen on May 1, 2026 and gone on May 10, 2026, with no clear on record in between.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _absent(9, "432")],
            "Cleared at 400 h and absent at 432 h: holding for 32 h.",
        ),
        (
            [_seen(0, None), _cleared(1, None), _absent(10, None)],
            "Cleared on May 2, 2026 and absent on May 11, 2026: holding for 9 days.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _seen(32, "484")],
            "Returned · active: seen again 84 h (31 days) after it was cleared; it has returned once.",
        ),
        (
            [_seen(0, None), _absent(1, None), _seen(2, None), _cleared(3, None), _seen(4, None, CodeStatus.PENDING)],
            "Returned · pending: seen again 1 day after it was cleared; it has returned 2 times.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _absent(9, "455")],
            "Historic: cleared at 400 h and held, absent 55 h later.",
        ),
        (
            [_seen(0, "400"), _absent(9, "455")],
            "Historic: last seen at 400 h and gone at 455 h, with no clear on record in between.",
        ),
        (
            [_seen(0, "400"), _absent(9, "455"), _absent(20, "500")],
            "Historic: last seen at 400 h and gone at 455 h, with no clear on record in between, "
            "still absent at 500 h.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _cleared(8, "431.5"), _absent(9, "432")],
            "Cleared at 400 h and absent at 432 h: holding for 32 h. "
            "It was cleared again at 431.5 h, and no scan before that shows whether it had come back by then.",
        ),
        (  # the scan right before the second clear shows that there was nothing for it to hide
            [_seen(0, "400"), _cleared(1, "400"), _absent(7, "431.5"), _cleared(8, "431.5"), _absent(9, "432")],
            "Cleared at 400 h and absent at 432 h: holding for 32 h.",
        ),
        (  # entered twice
            [_seen(0, "400"), _cleared(1, "400"), _cleared(2, "400"), _absent(9, "432")],
            "Cleared at 400 h and absent at 432 h: holding for 32 h.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _cleared(8, "431.5")],
            "Cleared at 400 h; no complete scan has shown it away since, so nothing is proven yet. "
            "It was cleared again at 431.5 h, and no scan before that shows whether it had come back by then.",
        ),
        (
            [_seen(0, "400"), _absent(9, "410"), _cleared(20, "420"), _absent(30, "470")],
            "Historic: last seen at 400 h and gone at 410 h, with no clear on record in between, "
            "still absent at 470 h. It was cleared at 420 h, "
            "and no scan before that shows whether it had come back by then.",
        ),
        (
            [_seen(0, "100"), _cleared(1, "100"), _cleared(70, "160"), _seen(80, "170")],
            "Returned · active: seen again 70 h (79 days) after it was cleared; it has returned once. "
            "In between it was cleared again at 160 h.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _cleared(90, "799.5"), _absent(91, "800")],
            "Historic: cleared at 400 h and held, absent 400 h later. "
            "It was cleared again at 799.5 h, and no scan before that shows whether it had come back by then.",
        ),
        (
            [_seen(0, "400"), _cleared(1, None), _cleared(90, "799.5"), _absent(91, "800")],
            "Cleared on May 2, 2026 and absent at 800 h: holding for 90 days, "
            "in which the engine ran for 400 h at most. "
            "It was cleared again at 799.5 h, and no scan before that shows whether it had come back by then.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _absent(400, "400")],
            "Cleared at 400 h and absent at 400 h: no hours run in between, so nothing is proven yet.",
        ),
        (
            [_seen(0, "400"), _worked(1, "400"), _absent(9, "400")],
            "Historic: worked on at 400 h and absent at 400 h, with no clear on record in between: "
            "no hours run in between, so nothing is proven yet.",
        ),
        (
            [_seen(0, "400"), _worked(1, "401"), _absent(9, "432")],
            "Historic: worked on at 401 h and absent at 432 h, with no clear on record in between: holding for 31 h.",
        ),
        (
            [_seen(0, "400"), _worked(1, "401"), _absent(9, "460")],
            "Historic: worked on at 401 h and held, absent 59 h later, with no clear on record in between.",
        ),
        (  # it was cleared when it came the first time, and nobody cleared it when it came back
            [_seen(0, "400"), _cleared(1, "400"), _seen(9, "440"), _absent(12, "455")],
            "Historic: last seen at 440 h and gone at 455 h, with no clear on record in between.",
        ),
        (
            [_seen(0, "400"), _worked(1, "401"), _absent(9, "432"), _seen(12, "440")],
            "Returned · active: seen again 39 h (11 days) after the work on it; it has returned once.",
        ),
        (
            [_seen(0, "400"), _absent(9, "432"), _seen(12, "440")],
            "Returned · active: seen again 8 h (3 days) after it was found gone; it has returned once.",
        ),
        (
            [_seen(0, "400"), replace(_cleared(1, "400"), visit="j"), replace(_seen(2, "401.5"), visit="j")],
            "Not fixed yet · active: seen again 1.5 h (1 day) after it was cleared, on the same job.",
        ),
        (
            [
                _seen(0, "400"),
                replace(_cleared(1, "400"), visit="j"),
                replace(_seen(2, "401.5"), visit="j"),
                replace(_seen(40, "460", CodeStatus.STORED), visit="k"),
            ],
            "Not fixed yet · stored: seen again 1.5 h (1 day) after it was cleared, on the same job, "
            "and still there at 460 h.",
        ),
        (
            [
                _seen(0, "400"),
                replace(_cleared(1, "400"), visit="j"),
                _seen(9, "440"),
                replace(_cleared(10, "440"), visit="k"),
                replace(_seen(11, "442"), visit="k"),
            ],
            "Not fixed yet · active: seen again 2 h (1 day) after it was cleared, on the same job; "
            "it has returned once.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _seen(2, "401", CodeStatus.PERMANENT)],
            "Cleared at 400 h; no complete scan has shown it away since, so nothing is proven yet. "
            "The unit keeps a permanent copy, which no instrument can clear.",
        ),
        (  # "0 days" would be no time at all, and nobody knows that
            [_seen(0, None), _cleared(1, None), _absent(1, None)],
            "Cleared on May 2, 2026 and absent on May 2, 2026: holding for less than a day.",
        ),
        (
            [_seen(0, "400"), _worked(1, None), _absent(1, None)],
            "Historic: worked on on May 2, 2026 and absent on May 2, 2026, with no clear on record in between: "
            "holding for less than a day.",
        ),
        (
            [_seen(0, "400"), _cleared(1, "400"), _absent(1, "401.5")],
            "Cleared at 400 h and absent at 401.5 h: holding for 1.5 h.",
        ),
        (  # at 450 h the unit gave the copy alone: nobody saw the code active then
            [_seen(0, "400"), _seen(2, "450", CodeStatus.PERMANENT)],
            "Active: seen once, at 400 h. The unit keeps a permanent copy, which no instrument can clear.",
        ),
        (
            [_seen(0, "400"), _seen(1, "410"), _seen(2, "450", CodeStatus.PERMANENT)],
            "Active: first seen at 400 h, last at 410 h. "
            "The unit keeps a permanent copy, which no instrument can clear.",
        ),
        (
            [_seen(0, "400", CodeStatus.PERMANENT), _seen(2, "450", CodeStatus.PERMANENT)],
            "Permanent: first seen at 400 h, last at 450 h, so it began at some time before. "
            "The unit keeps a permanent copy, which no instrument can clear.",
        ),
        (
            [_seen(0, "400"), _seen(2, "450", CodeStatus.PERMANENT), _absent(9, "455")],
            "Historic: last seen at 400 h and gone at 455 h, with no clear on record in between.",
        ),
    ],
)
def test_each_state_in_words(evidence, sentence):
    assert explain_state(replay(evidence)) == sentence


@given(EVIDENCE)
def test_every_history_has_a_sentence(evidence):
    sentence = explain_state(replay(evidence))
    assert sentence.endswith(".")
    assert "None" not in sentence
