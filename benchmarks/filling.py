"""Fills a database with a shop of the asked size: COPY in two processes, keys of both sizes the same.

``python -m benchmarks.filling HULLS ENTRIES LONG`` fills the empty database that ``DATABASE_URL`` names.
"""

from __future__ import annotations

import json
import multiprocessing
import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from benchmarks.ground import set_up_django
from benchmarks.layout import Layout, customer_name, phone

if TYPE_CHECKING:
    from django.db import models

PROCESSES = 2
ROWS_AT_ONCE = 20_000


def fill(shop: Layout) -> None:
    """Tables, people, and everything that is on record."""
    from django.db import connection, connections

    from shopfloor.readiness import collect_static_files, make_tables

    make_tables()
    collect_static_files()
    people, parameter = _make_shop()
    _copy_customers(shop)
    connections.close_all()
    context = multiprocessing.get_context("fork")
    workers = [context.Process(target=_copy_hulls, args=(shop, part, people, parameter)) for part in range(PROCESSES)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    if any(worker.exitcode for worker in workers):
        raise RuntimeError("The benchmark's database could not be filled; what went wrong stands above.")
    _set_sequences()
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
        cursor.execute("CHECKPOINT")


def _make_shop() -> tuple[list[int], int]:
    """The people, the profile, a family with a card, and the key of the parameter that is measured."""
    from decimal import Decimal

    from findings.readings.models import Parameter, SpecCard, SpecLimit
    from parts.models import Part
    from staff.models import Person, ShopProfile
    from staff.policy import Role
    from vessels.models import EngineFamily

    ShopProfile.objects.update_or_create(pk=1, defaults={"name": "Measured Marine", "phone": "(555) 555-0100"})
    names = [("desk", Role.FRONT_DESK), ("tech", Role.TECHNICIAN), ("lead", Role.MANAGER), ("owner", Role.OWNER)]
    people = [Person(username=name, name=f"{name.capitalize()} Bench", role=role.value) for name, role in names]
    for person in people:
        person.set_unusable_password()
    Person.objects.bulk_create(people)
    family = EngineFamily.objects.create(pk=1, maker="Thole", name="T6")
    oil = Parameter.objects.get(name="Oil pressure")
    card = SpecCard.objects.create(family=family, title="T6 card", document="Invented")
    SpecLimit.objects.create(
        card=card, parameter=oil, condition="warm, 2000 rpm", unit="psi", low=Decimal(45), high=Decimal(70)
    )
    Part.objects.bulk_create(
        Part(number=f"GB-{number:05d}", maker="Corran", description=f"Impeller kit {number}", unit_price=Decimal(31))
        for number in range(2000)
    )
    return [person.pk for person in people], oil.pk


def _copy_customers(shop: Layout) -> None:
    from vessels.models import Customer, CustomerPhone

    people = [
        Customer(id=index + 1, name=customer_name(index), address=f"{index + 1} Quay Road, Invented Harbor")
        for index in range(shop.customers)
    ]
    phones = [
        CustomerPhone(
            id=person.pk, customer=person, label="mobile", number=phone(person.pk - 1),
            digits="+1" + "".join(sign for sign in phone(person.pk - 1) if sign.isdigit()),
        )
        for person in people
    ]  # fmt: skip
    _copy(Customer, people)
    _copy(CustomerPhone, phones)


def _copy_hulls(shop: Layout, part: int, people: list[int], parameter: int) -> None:
    """Every second hull, a few tables' worth at a time."""
    from benchmarks.story import stories
    from staff.queries import hold

    hulls = iter(range(part, shop.hulls, PROCESSES))
    waiting: dict[type[models.Model], list[Any]] = defaultdict(list)
    for rows in stories(shop, hulls, people, parameter, hold()):
        for model, some in rows.items():
            waiting[model] += some
            if len(waiting[model]) >= ROWS_AT_ONCE:
                _copy(model, waiting.pop(model))
    for model, some in waiting.items():
        _copy(model, some)


def _copy(model: type[models.Model], rows: Iterable[Any]) -> None:
    """COPY rows in, without looking each key up: they come from one plan, and a sample is proven afterwards."""
    from django.db import connection, models, transaction
    from psycopg.types.json import Jsonb

    fields = model._meta.concrete_fields
    names = [field.attname for field in fields]
    wrapped = [name for field, name in zip(fields, names, strict=True) if isinstance(field, models.JSONField)]
    columns = ", ".join(f'"{field.column}"' for field in fields)
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        with cursor.copy(f'COPY "{model._meta.db_table}" ({columns}) FROM STDIN') as copy:  # type: ignore[attr-defined]
            for row in rows:
                for name in wrapped:
                    setattr(row, name, Jsonb(getattr(row, name)))
                copy.write_row([getattr(row, name) for name in names])


def _set_sequences() -> None:
    """Let new rows take keys after those that were copied in."""
    from django.apps import apps
    from django.core.management.color import no_style
    from django.db import connection

    with connection.cursor() as cursor:
        for sentence in connection.ops.sequence_reset_sql(no_style(), list(apps.get_models())):
            cursor.execute(sentence)


def prove(hulls: Iterable[int]) -> list[str]:
    """What is wrong with the chains and the faults of some hulls; nothing, when the filling is as people's would be."""
    from findings.faults.replaying import misnamed_evidence, stale_faults
    from vessels.log.verify import broken_link
    from vessels.models import ControlUnit, Vessel

    wrong: list[str] = []
    for vessel in Vessel.objects.filter(pk__in=[hull + 1 for hull in hulls]):
        link = broken_link(vessel)
        wrong += [f"{vessel}: {link.sentence}"] if link else []
        for unit in ControlUnit.objects.filter(vessel=vessel):
            wrong += [f"{vessel}: {fault.label} is not as replayed" for fault in stale_faults(unit.pk)]
            wrong += misnamed_evidence(unit.pk)
    return wrong


def counts() -> dict[str, int]:
    """How much there is."""
    from findings.faults.models import Episode, Fault, Sighting
    from vessels.models import Customer, LogEntry, Vessel
    from workorders.models import Job

    models = [Vessel, Customer, Job, LogEntry, Sighting, Fault, Episode]
    return {str(model._meta.verbose_name_plural): model._default_manager.count() for model in models}


def main() -> None:
    """Fill, prove a sample, and say as JSON how long it took and what is there."""
    set_up_django()
    shop = Layout(*(int(word) for word in sys.argv[1:4]))
    began = time.monotonic()
    fill(shop)
    seconds = time.monotonic() - began
    wrong = prove({0, 1, 2, 3, shop.hulls // 2, shop.hulls - 1})
    if wrong:
        sys.exit("The filled database does not prove: " + "; ".join(wrong[:5]))
    print(json.dumps({"seconds": seconds, "counts": counts()}))


if __name__ == "__main__":
    main()
