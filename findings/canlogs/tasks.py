"""Work on CAN logs that a worker does."""

from __future__ import annotations

from commands.background import Kind
from findings.canlogs.reading import GAVE_UP, MOST_ATTEMPTS, note_failure, read_log, why_it_went_wrong

READ_CAN_LOG = Kind(
    "read_can_log",
    work=read_log,
    went_wrong=why_it_went_wrong,
    broke_off=GAVE_UP,
    fail=lambda subject, sentence: note_failure(int(subject), sentence),
    tries=MOST_ATTEMPTS,
    longest=3 * 3600,
)
