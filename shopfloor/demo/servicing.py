"""Service plans of the shop, the engines that follow them, a service done, and a boat that was laid up."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from billing.estimates.actions import add_kit, add_kit_line
from billing.estimates.models import Kit
from shopfloor.demo.stage import Stage, scenario_id
from vessels.models import LogEntry
from workorders.models import Job
from workorders.money import ChargeKind
from workorders.upkeep.actions import add_plan, adopt_plans, lay_up, log_service
from workorders.upkeep.models import Basis, ServicePlan, Source

PLANS_AGO, DONE_AGO = 150, 130
LAID_UP = ("dabchick", 170, 60)

PLANS: dict[str, tuple[str, dict[str, Any]]] = {
    "hundred": (
        "H25",
        {
            "name": "100-hour service",
            "every_hours": Decimal(100),
            "every_months": 12,
            "first_hours": Decimal(20),
            "tasks": "Engine oil and filter\nGear oil\nSpark plugs looked at",
        },
    ),
    "oil": (
        "N6",
        {
            "name": "Oil and filters",
            "every_hours": Decimal(200),
            "every_months": 12,
            "first_hours": Decimal(50),
            "tasks": "Engine oil\nOil filter\nFuel filters",
        },
    ),
    "belts": ("N6", {"name": "Belts, hoses and coolant", "every_months": 12, "tasks": "Belts\nHoses\nCoolant"}),
}
KIT = ("oil", "Oil and filters, N6", "Change engine oil and filters", Decimal("1.5"), ("N6-3302", "N6-3303"))
"""What the shop sells for one of the plans: labor in hours, and parts."""
FOLLOWED = [
    # The plan, the boat's engine, and the days ago of the job on which the shop did it last; None: nobody knows.
    ("hundred", "bellwether", "port", 400),
    ("hundred", "kittiwake", "port", None),
    ("oil", "saffron", "port", 160),
    ("belts", "saffron", "port", 340),
    ("oil", "marguerite", "starboard", 200),
]


def _make_kit(stage: Stage) -> Kit:
    _, name, labor, hours, numbers = KIT
    manager = stage.people["gail"]
    kit = add_kit(by=manager, name=name, entry_id=scenario_id("kit", name))
    told: list[dict[str, Any]] = [{"kind": ChargeKind.LABOR.value, "description": labor, "quantity": hours}]
    told += [{"kind": ChargeKind.PART.value, "part": stage.parts[number], "quantity": Decimal(1)} for number in numbers]
    for position, line in enumerate(told):
        add_kit_line(by=manager, kit=kit, told=line, entry_id=scenario_id("kit-line", name, position))
    return kit


def write_plans(stage: Stage) -> None:
    """The manager writes the plans down, one with the kit that is sold for it; the desk has engines follow them."""
    stage.clock.turn(stage.clock.at(PLANS_AGO, "07:30"))
    kit = _make_kit(stage)
    plans: dict[str, ServicePlan] = {}
    for key, (family, said) in PLANS.items():
        of = stage.families[family]
        plans[key] = add_plan(
            by=stage.people["gail"],
            family=of,
            manual=f"{of} workshop manual, 2nd edition, chapter 2 (invented)",
            kit_id=kit.pk if key == KIT[0] else None,
            entry_id=scenario_id("service-plan", key),
            **said,
        )
    for key, boat, position, days_ago in FOLLOWED:
        engine = stage.rigs[(boat, position)].engine
        adopt_plans(
            by=stage.desk,
            engine=engine,
            plans=[plans[key]],
            entry_id=scenario_id("follows", key, boat, position),
            **({"basis": Basis.UNKNOWN} if days_ago is None else _last_time(stage, engine.pk, boat, days_ago)),
        )

    boat, began, ended = LAID_UP
    lay_up(
        by=stage.desk,
        vessel=stage.boats[boat][1],
        from_on=stage.clock.day(began),
        until_on=stage.clock.day(ended),
        remark="On its trailer, indoors",
        entry_id=scenario_id("laid-up", boat),
    )


def log_done(stage: Stage) -> None:
    """The 100-hour service is logged from the job on which it was done, at the hours that were read there."""
    engine = stage.rigs[("bellwether", "port")].engine
    job = _job_of(stage, "bellwether", DONE_AGO)
    read = _read_on(job, engine.pk)
    log_service(
        by=stage.people["luz"],
        engine=engine,
        plans=[ServicePlan.objects.get(name="100-hour service")],
        line=job.lines.get(),
        read_in=read,
        happened_at=read.happened_at if read is not None else None,
        entry_id=scenario_id("service-done", job.number),
    )


def _job_of(stage: Stage, boat: str, days_ago: int) -> Job:
    moment = stage.clock.at(days_ago, "00:00")
    until = stage.clock.at(days_ago, "23:59")
    return Job.objects.get(vessel=stage.boats[boat][1], opened_at__range=(moment, until))


def _read_on(job: Job, engine: int) -> LogEntry | None:
    entries = LogEntry.objects.filter(job=job, engine=engine, engine_hours__isnull=False)
    return entries.order_by("-happened_at", "-position").first()


def _last_time(stage: Stage, engine: int, boat: str, days_ago: int) -> dict[str, Any]:
    """The day of the job, and the hours that were read on the engine then."""
    job = _job_of(stage, boat, days_ago)
    read = _read_on(job, engine)
    return {
        "basis": Basis.DONE,
        "last_on": stage.clock.day(days_ago),
        "last_hours": read.engine_hours if read is not None else None,
        "source": Source.OWN,
        "remark": f"Job {job.number}",
    }
