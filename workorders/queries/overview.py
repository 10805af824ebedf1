"""What a job's overview shows beside the job itself: its lines, its way, and how to reach the customer."""

from __future__ import annotations

from datetime import date, datetime
from typing import NamedTuple
from uuid import UUID

from vessels.models import Customer
from vessels.models.hulls import engine_words
from vessels.phones import to_call
from web.rows import rows
from workorders.models import Job


class LineInShort(NamedTuple):
    """A line as the overview shows it."""

    position: int
    concern: str
    cause: str
    correction: str
    done_by: str
    done_on: date | None
    engine_position: str | None
    engine_maker: str
    engine_model: str

    @property
    def engine(self) -> str:
        """What the engine is called; nothing where the line is about none."""
        if self.engine_position is None:
            return ""
        return engine_words(self.engine_position, self.engine_maker, self.engine_model)


_LINES = """
    SELECT line.position, line.concern, line.cause, line.correction,
           COALESCE((SELECT string_agg(person.name, ', ' ORDER BY person.name)
                     FROM workorders_jobline_done_by done JOIN staff_person person ON person.id = done.person_id
                     WHERE done.jobline_id = line.id), ''),
           line.done_on, engine.position, engine.maker, engine.model
    FROM workorders_jobline line LEFT JOIN vessels_engine engine ON engine.id = line.engine_id
    WHERE line.job_id = %(job)s ORDER BY line.position
"""


def lines_in_short(job: Job) -> list[LineInShort]:
    """The lines of a job, in order."""
    return rows(LineInShort, _LINES, {"job": job.pk})


class Move(NamedTuple):
    """One step of a job, with who and when."""

    entry_id: UUID
    from_state: str
    to_state: str
    reason: str
    happened_at: datetime
    author: str


_MOVES = """
    SELECT move.entry_id, move.from_state, move.to_state, move.reason, entry.happened_at, author.name
    FROM vessels_logentry entry
    JOIN workorders_jobmove move ON move.entry_id = entry.id
    JOIN staff_person author ON author.id = entry.author_id
    WHERE entry.job_id = %(job)s ORDER BY entry.position
"""


def moves_of(job: Job) -> list[Move]:
    """How a job came to where it stands, in order of recording."""
    return rows(Move, _MOVES, {"job": job.pk})


class Way(NamedTuple):
    """A phone or a mail address of a customer: what is shown, what is dialed or written to."""

    is_phone: bool
    label: str
    shown: str
    target: str


_WAYS = """
    SELECT true, label, number, digits, position, id FROM vessels_customerphone WHERE customer_id = %(customer)s
    UNION ALL
    SELECT false, label, address, address, position, id FROM vessels_customeremail WHERE customer_id = %(customer)s
    ORDER BY position, id
"""


def _way(is_phone: bool, label: str, shown: str, target: str, *order: int) -> Way:
    return Way(is_phone, label, shown, to_call(shown, target) if is_phone else target)


def ways_to_reach(customer: Customer) -> tuple[list[Way], list[Way]]:
    """The phones and the mail addresses of a customer, each in the customer's order."""
    found = rows(_way, _WAYS, {"customer": customer.pk})
    return [way for way in found if way.is_phone], [way for way in found if not way.is_phone]
