"""An awkward job, told through the actions of the house: all that makes a report say something untrue.

A metric shop with values in mixed units; twin engines, one of which is taken out on the job and replaced; hours that
nobody read; codes cleared and gone, one of them back on the same job; a code of the bits alone; a predecessor that was
withdrawn; more codes and readings than fit; an instrument out of calibration, a typed one, none; what was taken back.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from engineering.codes import Code, CodeSystem
from findings.instruments.actions import add_instrument
from findings.readings.actions import NewLimit, add_card, add_parameter, log_reading
from findings.readings.models import Parameter
from tests.cast import Cast
from tests.findings import story
from tests.findings.reports import scene
from vessels.actions import add_engine, add_unit, log_hours, remove_engine, retract, write_note
from workorders.actions import add_charge, add_line, change_line
from workorders.models import Job

CODES = 60
READINGS = 200
FUEL = Code(CodeSystem.SPN, "94-18")


def some_code(number: int) -> Code:
    return Code(CodeSystem.SPN, f"{1000 + number}-{number % 20}")


def tell(cast: Cast, *, codes: int = CODES, readings: int = READINGS) -> Job:
    """The job, open still, with everything on it."""
    scene.dress_shop(units="metric")
    job = story.open_job(cast, day=10)
    job.condition, job.location, job.spot = "Scuffs on the port quarter.", "yard", "by the crane"
    job.save()
    _before(cast)
    _codes(cast, job, codes)
    _readings(cast, job, readings)
    _engine_out(cast, job)
    _lines(cast, job)
    write_note(
        by=cast.tech, vessel=cast.vessel, text="オイル漏れ at the filter.", job_id=job.pk, happened_at=story.at(11)
    )
    return job


def _before(cast: Cast) -> None:
    """What earlier visits left: a code that returned twice, one that is open on the unit that nobody scans now."""
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(650), happened_at=story.at(-30))
    story.scan(cast, -29, 651, [story.seen(story.COOLANT, "stored")])
    story.clear(cast, -28, 652)
    story.scan(cast, -20, 700, [story.seen(story.COOLANT)])
    story.work(cast, -20, 700.5, [story.fault()], text="Cleaned the heat exchanger.")
    story.clear(cast, -20, 700.5)
    story.scan(cast, -19, 701, [])
    story.scan(cast, -18, None, [story.seen(story.LEAN)], unit=cast.starboard_unit)


def _codes(cast: Cast, job: Job, codes: int) -> None:
    many = [story.seen(some_code(number), ("active", "stored", "pending")[number % 3]) for number in range(codes - 3)]
    arrival = [story.seen(story.COOLANT, count=1), story.seen(story.OIL, "stored", 12), story.seen(FUEL), *many]
    story.scan(cast, 10, 786, arrival, job=job, instrument="Reader R2")
    wrong = story.scan(cast, 10.1, 786, [story.seen(Code(CodeSystem.SPN, "5555-1"))], job=job, complete=False)
    retract(by=cast.tech, entry=wrong.entry, reason="The other boat.")
    story.work(cast, 11, 786.2, [story.fault()], text="Replaced the thermostat.\nFlushed the circuit.", job=job)
    story.work(cast, 11.1, None, [], text="Changed the oil of both engines.", job=job)
    story.clear(cast, 11.2, 786.2, job=job)
    story.scan(cast, 11.5, 787, [story.seen(FUEL)], job=job, phase="after-repair")
    story.work(cast, 11.6, 787, [story.fault(FUEL)], text="Replaced the fuel pump.", job=job)
    story.clear(cast, 11.7, 787, [story.fault(FUEL)], job=job)
    story.scan(cast, 12, 788, [], job=job, phase="sea-trial", instrument="Reader R2", not_understood=1)
    story.scan(
        cast, 12.1, None, [story.seen(Code(CodeSystem.OBD, "P0217"))], unit=cast.starboard_unit, complete=False,
        job=job, phase="sea-trial",
    )  # fmt: skip


def _readings(cast: Cast, job: Job, readings: int) -> None:
    pressure = Parameter.objects.filter(name="Oil pressure").first() or Parameter.objects.create(
        name="Oil pressure", kind="pressure", position=1
    )
    coolant = add_parameter(by=cast.tech, name="Coolant outlet", kind="temperature")
    volts = add_parameter(by=cast.tech, name="Charging at the bank", kind="voltage")
    add_card(
        by=cast.tech,
        family=cast.family,
        title="D6T warm",
        document="Norrland D6T manual, ed. 4, p. 112",
        limits=[
            NewLimit(parameter=pressure, unit="psi", low=Decimal(40), high=Decimal(65)),
            NewLimit(parameter=coolant, unit="degF", high=Decimal(200)),
        ],
    )
    good = add_instrument(
        by=cast.manager, kind="Pressure gauge", make="Tidewell T4", serial="1182", calibrated_on=date(2025, 1, 2),
        due_on=date(2026, 1, 2),
    )  # fmt: skip
    old = add_instrument(
        by=cast.manager, kind="Thermometer", make="Brightwater 20", serial="B-7", calibrated_on=date(2023, 1, 2),
        due_on=date(2024, 1, 2),
    )  # fmt: skip
    told: dict[str, Any] = {"by": cast.tech, "vessel": cast.vessel, "job": job}
    log_reading(
        **told, engine=cast.port, parameter=pressure, value=Decimal(30), unit="psi", minimum=Decimal(28),
        maximum=Decimal(33), phase="arrival", registered=good, engine_hours=Decimal(786), happened_at=story.at(10),
    )  # fmt: skip
    log_reading(
        **told, engine=cast.port, parameter=coolant, value=Decimal(97), unit="degC", phase="arrival", registered=old,
        happened_at=story.at(10),
    )  # fmt: skip
    log_reading(
        **told, engine=cast.starboard, parameter=coolant, value=Decimal(88), unit="degC", phase="sea-trial",
        instrument="Thermometer of the owner", happened_at=story.at(12),
    )  # fmt: skip
    log_reading(
        **told, engine=None, parameter=volts, value=Decimal("14.1"), unit="V", phase="delivery",
        condition="engines off, charger on", happened_at=story.at(12.5),
    )  # fmt: skip
    for number in range(max(readings - 4, 0)):
        engine = (cast.port, cast.starboard)[number % 2]
        log_reading(
            **told, engine=engine, parameter=(pressure, volts)[number % 4 // 2],
            value=(Decimal(50) + number % 7, Decimal("14.2"))[number % 4 // 2], unit=("psi", "V")[number % 4 // 2],
            condition=f"step {number}", phase="sea-trial", registered=good if number % 4 < 2 else None,
            happened_at=story.at(12 + number / 1440),
        )  # fmt: skip


def _engine_out(cast: Cast, job: Job) -> None:
    remove_engine(by=cast.manager, engine=cast.starboard, happened_at=story.at(12.6))
    new = add_engine(
        by=cast.manager, vessel=cast.vessel, position="starboard", maker="Norrland", model="D6T-370", serial="NEW-1",
        family=cast.family, happened_at=story.at(12.7),
    )  # fmt: skip
    add_unit(by=cast.manager, vessel=cast.vessel, engine=new, happened_at=story.at(12.7))


def _lines(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    changes = {
        "cause": "Thermostat stuck; fuel pump worn.",
        "correction": "Replaced thermostat and fuel pump.",
        "done_by": [cast.tech, cast.owner],
        "done_on": date(2025, 4, 12),
    }
    change_line(by=cast.manager, line=line, seen_version=line.version, changes=changes, happened_at=story.at(12))
    second = add_line(by=cast.tech, job=job, concern="Swim platform knocks.", happened_at=story.at(11))
    change_line(
        by=cast.tech, line=second, seen_version=second.version, changes={"correction": "Tightened four bolts."},
        happened_at=story.at(12),
    )  # fmt: skip
    add_line(by=cast.tech, job=job, concern="Horn is weak.", happened_at=story.at(11))
    for name, of, quantity in [("Thermostat", line, 1), ("Coolant, L", line, 12), ("Shop rags", None, 3)]:
        add_charge(
            by=cast.manager, job=job, line=of, kind="part", description=name, quantity=Decimal(quantity),
            unit_price=Decimal(9),
        )  # fmt: skip
