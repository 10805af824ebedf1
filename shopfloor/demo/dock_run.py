"""The log of a run at the dock that one technician of the scenario recorded: brought, read and logged."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.core.files.uploadedfile import SimpleUploadedFile

from commands.background import ask, do_now
from engineering.canlog import from_json
from findings.canlogs.actions import bring_log
from findings.canlogs.choosing import code_rows, units_chosen, value_rows, values_chosen
from findings.canlogs.importing import Chosen, log_findings
from findings.canlogs.models import CanLog
from findings.canlogs.preview import Understood, understand
from findings.canlogs.queries import logged_from
from findings.canlogs.senders import targets_of, usual_targets
from findings.canlogs.tasks import READ_CAN_LOG
from findings.faults.queries import unit_choices
from shopfloor.demo.network import Motor, run_of
from shopfloor.demo.stage import Rig
from staff.models import Person
from workorders.models import Job

LOW_OIL_PRESSURE = 1 << 2
HALF_SECONDS = 60
CONDITION = "warm, 700 rpm"


def dock_run_text(start: datetime, port_hours: Decimal, starboard_hours: Decimal) -> str:
    """Half a minute at idle: the port engine's oil pressure sinks until its unit says so, starboard's holds."""
    return run_of(
        start,
        [
            (
                Motor(
                    0, 0, 702 + step % 5, 138 - step / 2, 80 + step / 20, 27.6, float(port_hours),
                    LOW_OIL_PRESSURE if step > 20 else 0,
                ),
                Motor(1, 1, 698 + step % 4, 204 + step % 3, 79 + step / 20, 27.7, float(starboard_hours)),
            )
            for step in range(HALF_SECONDS)
        ],
        code=(100, 18, 3),
    )  # fmt: skip


def log_dock_run(
    *, by: Person, job: Job, port: Rig, starboard: Rig, days_ago: int, at: datetime, entry_id: UUID
) -> None:
    """Bring the log of the run to the job, have it read here and now, and log what is ticked beforehand."""
    hours = {rig.engine.pk: rig.true_hours(days_ago) for rig in (port, starboard)}
    start = at - timedelta(seconds=HALF_SECONDS / 2)
    text = dock_run_text(start, hours[port.engine.pk], hours[starboard.engine.pk])
    log = bring_log(by=by, job=job, file=SimpleUploadedFile("saffron-sky-idle.log", text.encode())).log
    do_now(ask(READ_CAN_LOG.name, str(log.pk)))
    log.refresh_from_db()
    if log.summary is None:
        raise RuntimeError(f"the scenario's own log was not read: {log.problem}")
    understood = understand(from_json(log.summary), "us")
    chosen = _usual(log, understood, at, hours)
    log_findings(by=by, log=log, understood=understood, chosen=chosen, entry_id=entry_id)


def _usual(log: CanLog, understood: Understood, at: datetime, hours: dict[int, Decimal]) -> Chosen:
    """What is ticked beforehand, of the engines alone."""
    vessel = log.job.vessel
    engines = list(vessel.engines.filter(removed_on=None).order_by("pk"))
    targets = targets_of(unit_choices(vessel), engines)
    places = usual_targets(understood.senders, targets, {})
    places |= {sender: targets[-1] for sender in understood.senders if sender.is_about_boat}
    logged = logged_from(log)
    rows = code_rows([*understood.codes, *understood.statuses], None, usual=places, logged=logged)
    values = value_rows(understood.values, None, usual=places, logged=logged)
    return Chosen(
        units=units_chosen(understood, rows, places, extent="some"),
        values=values_chosen(values, places, {engine.pk: CONDITION for engine in engines}),
        which="median",
        phase="arrival",
        happened_at=at,
        hours=hours,
        instrument="Network recorder",
        text="",
        mapping={sender.key: places[sender].value for sender in understood.senders},
    )
