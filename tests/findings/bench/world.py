"""A boat with a past, for the tools of the Bench: a fault that came back, readings that drift, limits on a card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from engineering.units import System
from findings.bench.answer import Answer, work_out
from findings.bench.context import ToolContext
from findings.bench.fields import FromRecords
from findings.bench.forms import BenchForm
from findings.bench.texts import Texts, as_texts, prefilled
from findings.bench.tool import Tool
from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.models import Parameter
from findings.readings.parameters import seed_parameters
from tests.cast import Cast, make_cast
from tests.findings.story import OIL, at, clear, open_job, scan, seen
from workorders.models import Job


@dataclass
class BenchWorld:
    """The cast, a job, and everything on record that a tool may ask for."""

    cast: Cast
    job: Job

    def context(self, tool: Tool, system: System = "us") -> ToolContext:
        """What is at hand on the tool's page."""
        engine = None if tool.is_of_boat else self.cast.port
        return ToolContext(self.job, engine, system, date(2026, 6, 1))

    def example(self, tool: Tool, system: System = "us") -> Texts:
        """The tool's example as it is sent; of records, the first that there is."""
        texts = prefilled(tool, self.context(tool, system))[0] | as_texts(tool, tool.example.inputs)
        for field in tool.fields:
            if isinstance(field, FromRecords) and not texts.get(field.name):
                texts[field.name] = next(iter(field.options(self.context(tool, system)))).key
        return texts

    def work(self, tool: Tool, texts: Texts, system: System = "us") -> tuple[Answer | None, BenchForm]:
        """The answer to what was sent, with the form that it was sent by."""
        context = self.context(tool, system)
        form = BenchForm(tool, context, texts)
        return work_out(tool, form, context), form


def make_bench_world() -> BenchWorld:
    """Write it down."""
    seed_parameters()
    cast = make_cast()
    job = open_job(cast)
    job.lines.update(engine=cast.port)
    oil = Parameter.objects.get(name="Oil pressure")
    add_card(
        by=cast.manager,
        family=cast.family,
        title="Running checks, warm",
        document="Measured by the shop on a sound engine, May 2026",
        limits=[NewLimit(oil, "psi", low=Decimal(30), nominal=Decimal(45), high=Decimal(60))],
    )
    cast.port.gear_ratio = Decimal("1.5")
    cast.port.rated_rpm_low, cast.port.rated_rpm_high = 3200, 3600
    cast.port.power = Decimal(370)
    cast.port.propeller = "18 × 21, 4 blades, right"
    cast.port.save()
    for day, hours in _events():
        scan(cast, day, hours, [seen(OIL)], job=job)
        clear(cast, day, hours, job=job)
        scan(cast, day, hours, job=job, phase="after-repair")
    for day, hours, value in ((5, 60, "52"), (45, 160, "50"), (85, 260, "49.5"), (125, 360, "47"), (165, 460, "46.5")):
        log_reading(
            by=cast.tech,
            vessel=cast.vessel,
            engine=cast.port,
            parameter=oil,
            value=Decimal(value),
            unit="psi",
            job=job,
            engine_hours=Decimal(hours),
            happened_at=at(day),
        )
    return BenchWorld(cast, job)


def _events() -> Iterator[tuple[float, float]]:
    yield from ((10, 80), (40, 150), (70, 230), (90, 270), (110, 330), (130, 370), (150, 420))
