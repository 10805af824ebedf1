"""Owners reminded of service due: a call, a letter that waits to be sent, one who wants none; and a calendar feed."""

from __future__ import annotations

from shopfloor.demo.stage import Stage, scenario_id
from vessels.models import Vessel
from workorders.calendar.actions import add_feed, new_key
from workorders.upkeep.actions import note_reminder, note_reminder_wish, write_letters
from workorders.upkeep.queries.calling import to_remind

REMINDED_AGO = 1
WANTS_NONE = "dabchick"


def remind(stage: Stage) -> None:
    """The desk goes through the list of the day. Nobody fetches its calendar feed: nobody was told the address."""
    stage.clock.turn(stage.clock.at(REMINDED_AGO, "15:40"))
    note_reminder_wish(
        by=stage.desk,
        customer=stage.boats[WANTS_NONE][1].owner,
        wants=False,
        remark="They do the service themselves",
        entry_id=scenario_id("no-reminders", WANTS_NONE),
    )
    due = to_remind()
    for one in due[:1]:
        write_letters(by=stage.desk, customers=[one.owner], entry_id=scenario_id("letter", one.owner.pk))
    for one in due[1:2]:
        note_reminder(
            by=stage.desk,
            customer=one.owner,
            vessels=list(Vessel.objects.filter(pk__in=[boat.vessel_id for boat in one.boats]).order_by("pk")),
            way="call",
            remark="Will call us for a day",
            entry_id=scenario_id("reminded", one.owner.pk),
        )
    add_feed(
        by=stage.desk,
        name="Front desk",
        sources=["promised", "service"],
        key=new_key(),
        entry_id=scenario_id("feed", "desk"),
    )
