"""What is refused of every entry of this room, and what is asked once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime

from django.utils import timezone

from commands.questions import ask_once
from commands.refusals import Refused
from engineering.canonical import canonical_json
from vessels.hours import refuse_impossible_hours
from vessels.log.belonging import refuse_same_again
from vessels.log.chain import NewEntry
from vessels.log.evidence import effective
from vessels.models import Engine, LogEntry
from vessels.wording import date_words, moment_words
from workorders.models import Job


def refuse_empty(said: Mapping[str, tuple[str, str]]) -> None:
    """Refuse what is left empty: by field what was written, and what to say where nothing was; all of it at once."""
    missing = {name: sentence for name, (text, sentence) in said.items() if not text.strip()}
    if missing:
        raise Refused(next(iter(missing.values())), fields=missing)


def refuse_too_long(said: Mapping[str, tuple[str, int]]) -> None:
    """Refuse what is longer than its field: by field what was written, and the most characters."""
    wrong = {
        name: f"{len(text)} characters are too many: at most {most} are kept here."
        for name, (text, most) in said.items()
        if len(text) > most
    }
    if wrong:
        raise Refused(next(iter(wrong.values())), fields=wrong)


def refuse_strange_engine(
    engine: Engine | None, hours: object, happened_at: datetime | None, amends: LogEntry | None
) -> None:
    """Refuse an engine that was gone by then, and hours that cannot be its."""
    day = timezone.localdate(happened_at) if happened_at else timezone.localdate()
    if engine is not None and engine.removed_on is not None and engine.removed_on < day:
        sentence = f"This engine was removed from the boat on {date_words(engine.removed_on)}."
        raise Refused(sentence, fields={"engine": sentence})
    refuse_impossible_hours(engine, hours, happened_at, amends=amends)  # type: ignore[arg-type]


def ask_if_twice(kind: str, job: Job | None, engine: Engine | None, *, summary: str, text: str) -> None:
    """Ask about what is in the log of the job already, word for word: two people may have written it down."""
    if job is None:
        return
    there = effective(LogEntry.objects.filter(job=job, kind=kind, engine=engine, summary=summary, text=text.strip()))
    last = there.select_related("author").order_by("-position").first()
    if last is None:
        return
    key = hashlib.sha256(canonical_json([kind, job.pk, engine.pk if engine else None, summary, text])).hexdigest()
    at = moment_words(timezone.localtime(last.happened_at))
    sentence = f"The same is in the log of this job already: {last.author.name}, {at}."
    ask_once(f"twice {key}", sentence, field="text", tick="It happened twice")


def refuse_again(new: NewEntry, job: Job | None, *, is_same: bool = True) -> None:
    """Refuse a correction that corrects nothing, and ask about what the job's log says already.

    ``is_same`` is false where the detail differs from what stood there in something that no sentence says.
    """
    amends = new.amends
    if amends is None:
        ask_if_twice(new.kind, job, new.engine, summary=new.summary, text=new.text)
        return
    now = (new.engine.pk if new.engine else None, new.summary, new.text, new.happened_at, new.engine_hours)
    was = (amends.engine_id, amends.summary, amends.text, amends.happened_at, amends.engine_hours)
    refuse_same_again(amends, is_same=is_same and now == was)
