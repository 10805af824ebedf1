"""Fills a database with a shop's money, set by set: the database makes the rows itself.

``python -m benchmarks.money_filling JOBS`` fills the empty database that ``DATABASE_URL`` names. The shop takes in
5,000 jobs a year: more jobs are more years of the same shop, with as many in hand. Ten charges, a line, three stretches
of work, an estimate, an authorization, five moves, an invoice and a payment a job; a hull for ten jobs, whose engine
follows a plan. The shop charges no tax: its jobs are closed with none.
"""

from __future__ import annotations

import json
import sys
import time
from typing import TYPE_CHECKING, Any

from benchmarks.ground import set_up_django

if TYPE_CHECKING:
    from django.db import models

IN_HAND = 150
"""Jobs that have not ended; of a small shop no more than half."""
UNPAID = 60
"""Of those that ended last, so many times three are not all paid: one in three is not."""
HOURS_APART = 8766 / 5000

_JOBS = """(
    SELECT i, (i %% {hulls}) + 1 AS hull, now() - ({jobs} - i) * interval '{apart} hours' - interval '5 days' AS opened,
           CASE WHEN i <= {ended} THEN 5 ELSE 1 + i %% 4 END AS moves,
           (SELECT id FROM staff_person ORDER BY id OFFSET i %% 4 LIMIT 1) AS person
    FROM generate_series(1, {jobs}) i
) j"""
STATES = ["estimate", "authorized", "in-work", "ready", "closed"]
HOURS = [0, 20, 40, 90, 110]


def ended_of(jobs: int) -> int:
    """How many of so many jobs have ended: their numbers come first."""
    return jobs - min(IN_HAND, jobs // 2)


class Filling:
    """Puts rows into tables by one sentence each; what no column is said for is empty, or the field's default."""

    def __init__(self, jobs: int) -> None:
        self.jobs, self.hulls, self.ended = jobs, max(jobs // 10, 20), ended_of(jobs)

    def put(self, model: type[models.Model], source: str, /, **columns: str) -> None:
        """INSERT … SELECT, with the keys of other tables looked up by nobody and no trigger run."""
        from django.db import connection

        named = dict(columns)
        for field in model._meta.concrete_fields:
            if field.column not in named and not (field.primary_key and "id" not in named):
                named[field.column] = "NULL" if field.null else _usual(field)
        names, values = ", ".join(f'"{name}"' for name in named), ", ".join(named.values())
        sql = f'INSERT INTO "{model._meta.db_table}" ({names}) SELECT {values} FROM {source}'
        with connection.cursor() as cursor:
            cursor.execute("SET session_replication_role = replica")
            cursor.execute(self._said(sql).replace("%%", "%"))
            cursor.execute("SET session_replication_role = DEFAULT")

    def _said(self, sql: str) -> str:
        asked = {"jobs": self.jobs, "hulls": self.hulls, "ended": self.ended, "apart": HOURS_APART}
        for name, value in asked.items():
            sql = sql.replace(f"{{{name}}}", str(value))
        return sql


def _usual(field: Any) -> str:
    from django.db import models

    if isinstance(field, models.DateTimeField):
        return "now()"
    if field.has_default() and not callable(field.default):
        value = field.default
        return f"'{value}'" if isinstance(value, str) else str(value)
    if isinstance(field, models.BooleanField):
        return "FALSE"
    if isinstance(field, models.CharField | models.TextField):
        return "''"
    return "0"


def fill(jobs: int) -> None:
    """Tables, people, and everything that the money is made of."""
    from django.db import connection

    from benchmarks.filling import _make_shop, _set_sequences
    from shopfloor.readiness import collect_static_files, make_tables

    make_tables()
    collect_static_files()
    _make_shop()
    made = Filling(jobs)
    _hulls(made)
    _jobs(made)
    _heads()
    _work(made)
    _papers(made)
    write_records()
    _set_sequences()
    judge_service_due()
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
        cursor.execute("CHECKPOINT")


def judge_service_due() -> None:
    """Judge what was put in without the triggers that would have marked it."""
    from workorders.upkeep.keeping import bring_up_to_date, mark_everything

    mark_everything()
    bring_up_to_date()


def _hulls(made: Filling) -> None:
    from vessels.models import Customer, CustomerPhone, Engine, HourMeter, Ownership, Vessel
    from workorders.upkeep.models import Adoption, PlanVersion, ServicePlan

    numbers = "generate_series(1, {hulls}) n"
    made.put(Customer, numbers, id="n", name="'Customer ' || n", kind="'person'")
    made.put(
        CustomerPhone, numbers, id="n", customer_id="n", label="'mobile'",
        number="'(555) 555-01' || lpad((n %% 100)::text, 2, '0')",
        digits="'+1555555' || lpad(n::text, 4, '0')",
    )  # fmt: skip
    made.put(
        Vessel, numbers, id="n", name="'Boat ' || n", kind="'inboard'", owner_id="n", length_unit="'ft'",
    )  # fmt: skip
    made.put(Ownership, numbers, id="n", vessel_id="n", customer_id="n", since="DATE '2000-01-01'")
    made.put(
        Engine, numbers, id="n", vessel_id="n", position="'single'", family_id="1", maker="'Thole'", model="'T6'",
        serial="'T' || n", fuel="'diesel'", power_unit="'hp'",
    )  # fmt: skip
    made.put(HourMeter, numbers, id="n", engine_id="n", fitted_at="now() - interval '30 years'", shown_when_fitted="0")
    one = "generate_series(1, 1) n"
    person = "(SELECT min(id) FROM staff_person)"
    made.put(
        ServicePlan, one, id="1", name="'Yearly'", every_months="12", family_id="1", added_by_id=person, tasks="'Oil'"
    )
    made.put(
        PlanVersion, one, id="1", name="'Yearly'", every_months="12", plan_id="1", number="1", by_id=person,
        tasks="'Oil'",
    )  # fmt: skip
    made.put(
        Adoption, numbers, id="n", engine_id="n", plan_id="1", basis="'done'", source="'own'",
        last_on="current_date - (n %% 300)", added_by_id=person,
    )  # fmt: skip


def _jobs(made: Filling) -> None:
    from vessels.models import LogEntry
    from workorders.models import Job, JobLine, JobMove, MoveInTime

    ends = "j.moves = 5"
    state = f"(ARRAY{STATES})[j.moves]"
    since = f"j.opened + (ARRAY{HOURS})[j.moves] * interval '1 hour'"
    made.put(
        Job, _JOBS, id="i", number="1000 + i", vessel_id="hull", customer_id="hull", state=state,
        state_since=f"least({since}, now())", opened_at="opened", opened_by_id="person", technician_id="person",
        closed_at=f"CASE WHEN {ends} THEN least({since}, now()) END", location="'slip'", spot="'A-' || i %% 40",
        promised_on="(opened + interval '9 days')::date",
    )  # fmt: skip
    made.put(JobLine, _JOBS, id="i", job_id="i", engine_id="hull", position="1", concern="'Will not hold 3000 rpm'")
    moves = f"{_JOBS}, generate_series(1, 5) m WHERE m <= j.moves"
    happened = f"j.opened + (ARRAY{HOURS})[m] * interval '1 hour'"
    key = "md5(i || '-' || m)::uuid"
    made.put(
        LogEntry, moves, id=key, vessel_id="hull", job_id="i", author_id="person", happened_at=happened,
        recorded_at=happened, kind="CASE m WHEN 1 THEN 'job-opened' ELSE 'job-moved' END", summary="'Job moved'",
        position="5 * ((i - 1) / {hulls}) + m", digest="repeat('0', 64)",
    )  # fmt: skip
    made.put(
        JobMove, moves, entry_id=key, to_state=f"(ARRAY{STATES})[m]",
        from_state=f"CASE WHEN m > 1 THEN (ARRAY{STATES})[m - 1] ELSE '' END",
    )  # fmt: skip
    made.put(
        MoveInTime, "vessels_logentry l JOIN workorders_jobmove m ON m.entry_id = l.id ORDER BY l.recorded_at",
        entry_id="l.id", job_id="l.job_id", state="m.to_state", position="l.position", happened_at="l.happened_at",
        recorded_at="l.recorded_at",
    )  # fmt: skip


def _heads() -> None:
    """Each hull's log ends where its last entry stands."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE vessels_vessel v SET log_position = l.last "
            "FROM (SELECT vessel_id, max(position) AS last FROM vessels_logentry GROUP BY 1) l WHERE l.vessel_id = v.id"
        )


def _work(made: Filling) -> None:
    from workorders.models import Charge, Sold, Stretch
    from workorders.taxes.models import JobTaxes

    ended = f"{_JOBS} WHERE i <= {{ended}}"
    made.put(JobTaxes, ended, job_id="i", day="(opened + interval '110 hours')::date", taxes="'[]'")
    made.put(
        Charge, f"{_JOBS}, generate_series(1, 10) c", id="10 * i + c", job_id="i", line_id="i",
        kind="(ARRAY['labor', 'part', 'part', 'part', 'part', 'part', 'part', 'fee', 'fee', 'labor'])[c]",
        description="'Charge ' || c", quantity="1 + c %% 3", unit_price="5 + c * 3", added_by_id="person",
        added_at="least(opened + interval '80 hours', now())", taxable="TRUE",
    )  # fmt: skip
    stretches = f"{_JOBS}, generate_series(1, 3) s WHERE j.moves > 2"
    key = "md5(i || '/' || s)::uuid"
    made.put(
        Stretch, stretches, id=key, root_id=key, source="'noted'", line_id="i", person_id="person", minutes="30 * s",
        day="(opened + interval '2 days')::date", by_id="person", is_open="FALSE",
        recorded_at="opened + interval '2 days'",
    )  # fmt: skip
    made.put(
        Sold, f"{stretches} AND s < 3 AND j.moves = 5", id="3 * i + s", charge_id="10 * i + 1", root_id=key,
        stretch_id=key, minutes="30 * s",
    )  # fmt: skip


def _papers(made: Filling) -> None:
    from billing.authorizations.models import Authorization
    from billing.estimates.models import Estimate
    from billing.invoices.models import Invoice, InvoicedCharge, OpenInvoice, Payment, Use

    total = "(SELECT sum(quantity * unit_price) FROM workorders_charge WHERE job_id = i)"
    made.put(
        Estimate, _JOBS, id="i", job_id="i", revision="1", valid_until="(opened + interval '30 days')::date",
        given_at="opened + interval '5 hours'", given_by_id="person", given_how="'printed'", total="500",
        snapshot="'{}'", sha256="repeat('0', 64)", started_by_id="person", started_at="opened",
    )  # fmt: skip
    made.put(
        Authorization, f"{_JOBS} WHERE j.moves > 1", id="i", job_id="i", amount="9000", how="'phone'", who="'Owner'",
        said_at="opened + interval '20 hours'", noted_at="opened + interval '20 hours'", noted_by_id="person",
    )  # fmt: skip
    ended = f"{_JOBS} WHERE i <= {{ended}}"
    day = "least(opened + interval '110 hours', now())::date"
    made.put(
        Invoice, ended, id="i", number="'INV-' || (1000 + i)", customer_id="hull", job_id="i", issued_on=day,
        due_on=f"{day} + 14", currency="'USD'", net=total, tax="0", total=total, record="'{}'",
        record_sha256="repeat('0', 64)", made_by_id="person", made_at="opened + interval '110 hours'",
    )  # fmt: skip
    made.put(
        InvoicedCharge, "workorders_charge c WHERE c.job_id <= {ended}", id="c.id", invoice_id="c.job_id",
        charge_id="c.id", position="1 + c.id %% 10",
    )  # fmt: skip
    left_open = f"(p.id > {{ended}} - {3 * UNPAID} AND p.id %% 3 = 0)"
    paid = f"invoices_invoice p WHERE NOT {left_open}"
    made.put(
        Payment, paid, id="p.id", kind="'received'", customer_id="p.customer_id", invoice_id="p.id", amount="p.total",
        currency="'USD'", means="(ARRAY['cash', 'card', 'check'])[1 + p.id %% 3]",
        reference="CASE p.id %% 3 WHEN 2 THEN (1000 + p.id)::text ELSE '' END", day="p.issued_on",
        by_id="p.made_by_id", at="p.made_at",
    )  # fmt: skip
    made.put(
        Use, paid, id="p.id", payment_id="p.id", amount="p.total", invoice_id="p.id", day="p.issued_on",
        by_id="p.made_by_id", at="p.made_at",
    )  # fmt: skip
    made.put(OpenInvoice, f"invoices_invoice p WHERE {left_open}", invoice_id="p.id", open="p.total")


def write_records() -> None:
    """What stands on each invoice, from which the journal is made: its charges, line by line, and sums by kind."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        cursor.execute(
            """
            UPDATE invoices_invoice p SET record = json_build_object(
                'number', p.number, 'issued_on', p.issued_on, 'due_on', p.due_on, 'currency', p.currency,
                'shop', json_build_object('name', 'Our shop'), 'customer', json_build_object('name', customer.name),
                'job', json_build_object('number', job.number, 'vessel', vessel.name),
                'subtotal', p.net::text, 'discount', '0', 'net', p.net::text, 'tax', '0', 'total', p.total::text,
                'due', p.total::text, 'lines', charged.lines, 'kinds', charged.kinds)::text
            FROM invoices_invoice same JOIN vessels_customer customer ON customer.id = same.customer_id
            JOIN workorders_job job ON job.id = same.job_id JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
            CROSS JOIN LATERAL (
                SELECT json_agg(json_build_object(
                           'charge', c.id, 'concern', 1, 'kind', c.kind, 'description', c.description,
                           'quantity', c.quantity::text, 'unit_price', c.unit_price::text, 'discount', '0',
                           'share', '0', 'amount', c.amount::text, 'net', c.amount::text) ORDER BY c.id) AS lines,
                       json_build_array(
                           json_build_object('kind', 'labor', 'net', sum(c.amount) FILTER (WHERE kind = 'labor')::text),
                           json_build_object('kind', 'part', 'net', sum(c.amount) FILTER (WHERE kind = 'part')::text),
                           json_build_object('kind', 'fee', 'net', sum(c.amount) FILTER (WHERE kind = 'fee')::text)
                       ) AS kinds
                FROM (SELECT *, quantity * unit_price AS amount FROM workorders_charge WHERE job_id = same.job_id) c
            ) charged
            WHERE same.id = p.id
            """
        )
        cursor.execute("SET session_replication_role = DEFAULT")


def counts() -> dict[str, int]:
    """How much there is."""
    from billing.invoices.models import Invoice, Payment
    from vessels.models import LogEntry, Vessel
    from workorders.models import Charge, Job, Stretch

    models = [Vessel, Job, Charge, Stretch, LogEntry, Invoice, Payment]
    return {str(model._meta.verbose_name_plural): model._default_manager.count() for model in models}


def wrong() -> list[str]:
    """What is not as the shop's own acts would leave it: sums that differ, or open invoices that should not be."""
    from django.db.models import F, Sum
    from django.utils import timezone

    from billing.figures.queries.money import owed_by_age
    from billing.invoices.models import Invoice
    from billing.invoices.queries.lists import receivables
    from staff.queries import local_day

    found = []
    today = local_day(timezone.now())
    if sum(one.open for one in owed_by_age(today, "USD")) != receivables(today, "USD").on_invoices:
        found.append("what is owed differs from the aging page")
    summed = Invoice.objects.annotate(sum=Sum(F("charged__charge__quantity") * F("charged__charge__unit_price")))
    if summed.exclude(sum=F("net"))[:1]:
        found.append("an invoice is not what its charges come to")
    return found


def main() -> None:
    """Fill, prove, and say as JSON how long it took and what is there."""
    set_up_django()
    began = time.monotonic()
    fill(int(sys.argv[1]))
    seconds = time.monotonic() - began
    if found := wrong():
        sys.exit(f"The filled database does not prove: {'; '.join(found)}.")
    print(json.dumps({"seconds": seconds, "counts": counts()}))


if __name__ == "__main__":
    main()
