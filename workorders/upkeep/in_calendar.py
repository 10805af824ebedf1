"""The days on which service comes to be due, for the calendar. A day by hours is about, and says so."""

from __future__ import annotations

from collections.abc import Iterator

from web.addresses import address_of
from workorders.calendar.promises import reach_of
from workorders.calendar.sources import Asked, Event, Source
from workorders.upkeep.queries.due import Due
from workorders.upkeep.queries.kept import every_answer, judgments
from workorders.upkeep.wording import MANUAL_DECIDES, day_of, head_words, is_exact, reasons


def service_due(asked: Asked) -> Iterator[Event]:
    """Every service that has a day to be told, as service due is judged today."""
    found = judgments().filter(told_on__range=(asked.first, asked.last))
    reach = reach_of(set(found.values_list("owner", flat=True))) if asked.with_reach else {}
    for due in every_answer(found):
        day = day_of(due)
        if day is None:
            continue
        one = due.followed
        yield Event(
            key=f"followed-{one.pk}",
            title=f"{'Service due' if is_exact(due) else 'Service about due'}: {one.plan}, {one.vessel}",
            starts=day,
            words=" ".join([f"{one.engine}: {head_words(due).lower()}.", *_lasting(due), MANUAL_DECIDES]),
            place=one.berth,
            reach=reach.get(one.owner_id, ""),
            path=address_of("upkeep:vessel", one.vessel_id),
            is_about=not is_exact(due),
        )


def _lasting(due: Due) -> list[str]:
    return [*reasons(due), *([f"It is on job {due.followed.open_job}."] if due.followed.open_job else [])]


SOURCE = Source("service", "Service due", service_due, 30)
