"""The fixed cast of the tests: the people of an invented shop, one customer, one boat with two engines."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from django.db import connection, models
from django.db.models.sql import InsertQuery
from django.test import Client
from django.utils import timezone

from staff.models import Person
from staff.policy import Role
from vessels.models import (
    ControlUnit,
    Customer,
    CustomerPhone,
    CustomerSpelling,
    Engine,
    EngineFamily,
    HourMeter,
    Ownership,
    Vessel,
    VesselSpelling,
)  # fmt: skip

PASSWORD = "bilge-lantern-42"


@dataclass
class Cast:
    """Everybody and everything that a story needs to begin."""

    desk: Person
    tech: Person
    manager: Person
    owner: Person
    customer: Customer
    family: EngineFamily
    vessel: Vessel
    port: Engine
    starboard: Engine
    port_unit: ControlUnit
    starboard_unit: ControlUnit

    def person(self, role: Role) -> Person:
        """The cast member with this role."""
        return {
            Role.FRONT_DESK: self.desk,
            Role.TECHNICIAN: self.tech,
            Role.MANAGER: self.manager,
            Role.OWNER: self.owner,
        }[role]


WRITTEN = [
    Person, Customer, CustomerSpelling, CustomerPhone, EngineFamily, Vessel, VesselSpelling, Ownership, Engine,
    HourMeter, ControlUnit,
]  # fmt: skip
"""Of each the cast has some; those that others point to come first."""


@dataclass(frozen=True)
class _KeptCast:
    """The cast as it was first put into a database, and the rows that this wrote."""

    database: str
    cast: Cast
    statement: str
    values: list[Any]

    def put(self) -> Cast:
        """Write the same rows with the time of now; thousands of tests begin so.

        The numbering goes on behind them, also where the database was made again since, and begins with one.
        """
        now = timezone.now()
        with connection.cursor() as cursor:
            cursor.execute(self.statement, [_as_of(now, value) for value in self.values])
        cast = deepcopy(self.cast)
        for member in fields(cast):
            row = getattr(cast, member.name)
            for field in row._meta.concrete_fields:
                if isinstance(getattr(row, field.attname), datetime):
                    setattr(row, field.attname, now)
        return cast


def _as_of(now: datetime, value: Any) -> Any:
    """A value, or a column of them, with the time of now where one stands."""
    if isinstance(value, list):
        return [_as_of(now, one) for one in value]
    return now if isinstance(value, datetime) else value


_kept: list[_KeptCast] = []


def make_cast() -> Cast:
    """Put the cast on stage; writes plain rows, without any log entry."""
    database = str(connection.settings_dict["NAME"])
    if _kept and _kept[0].database == database:
        return _kept[0].put()
    before = {model: set(model._default_manager.values_list("pk", flat=True)) for model in WRITTEN}
    cast = _tell()
    statements, values = [], []
    for model in WRITTEN:
        statement, written = _insert(model, list(model._default_manager.exclude(pk__in=before[model]).order_by("pk")))
        statements.append(statement)
        values += written
    statements.append(_numbering())
    _kept[:] = [_KeptCast(database, deepcopy(cast), ";".join(statements), values)]
    return cast


def _insert(model: type[models.Model], rows: list[models.Model]) -> tuple[str, list[Any]]:
    """What writes the rows with their keys, as the library would."""
    query = InsertQuery(model)
    query.insert_values(model._meta.concrete_fields, rows)
    [(statement, values)] = query.get_compiler(connection=connection).as_sql()
    return statement, list(values)


def _numbering() -> str:
    """What lets the keys go on behind the highest that is written, where a table numbers its own."""
    numbered = [model._meta.db_table for model in WRITTEN if isinstance(model._meta.pk, models.AutoField)]
    each = []
    with connection.cursor() as cursor:
        for table in numbered:
            cursor.execute("SELECT pg_get_serial_sequence(%s, 'id')", [table])
            [(sequence,)] = cursor.fetchall()
            highest = f"(SELECT max(id) FROM {table}), (SELECT last_value FROM {sequence})"
            each.append(f"setval('{sequence}', greatest({highest}))")
    return f"SELECT {', '.join(each)}"


def _tell() -> Cast:
    people = {
        role: Person.objects.create_person(username=user, name=name, role=role, password=PASSWORD)
        for role, user, name in [
            (Role.FRONT_DESK, "dora", "Dora Quill"),
            (Role.TECHNICIAN, "tomas", "Tomas Reef"),
            (Role.MANAGER, "mina", "Mina Sparrow"),
            (Role.OWNER, "orla", "Orla Brandt"),
        ]
    }
    customer = Customer.objects.create(name="Wes Harrow")
    customer.phones.create(label="mobile", number="(555) 555-0123", digits="+15555550123")
    family = EngineFamily.objects.create(maker="Norrland", name="D6T")
    vessel = Vessel.objects.create(
        name="Second Wind", hin="GBD12345A525", kind="inboard", maker="Tidewright", model="34 Express", owner=customer
    )
    Ownership.objects.create(vessel=vessel, customer=customer)
    engines = []
    for position, serial in [("port", "NL-20417"), ("starboard", "NL-20418")]:
        engine = Engine.objects.create(
            vessel=vessel,
            position=position,
            family=family,
            maker="Norrland",
            model="D6T-370",
            serial=serial,
            fuel="diesel",
        )
        HourMeter.objects.create(engine=engine)
        engines.append(engine)
    units = [
        ControlUnit.objects.create(vessel=vessel, engine=engine, address=index) for index, engine in enumerate(engines)
    ]
    return Cast(
        desk=people[Role.FRONT_DESK],
        tech=people[Role.TECHNICIAN],
        manager=people[Role.MANAGER],
        owner=people[Role.OWNER],
        customer=customer,
        family=family,
        vessel=vessel,
        port=engines[0],
        starboard=engines[1],
        port_unit=units[0],
        starboard_unit=units[1],
    )


def cast_on_stage() -> Cast:
    """The cast that is in the database already, as ``make_cast`` put it there."""
    people = {
        person.username: person for person in Person.objects.filter(username__in=["dora", "tomas", "mina", "orla"])
    }
    vessel = Vessel.objects.select_related("owner").get(hin="GBD12345A525")
    units = list(ControlUnit.objects.filter(vessel=vessel).select_related("engine__family").order_by("address"))
    engines = [unit.engine for unit in units]
    for engine, unit in zip(engines, units, strict=True):
        engine.vessel = unit.vessel = vessel
        engine.family = engines[0].family
    return Cast(
        desk=people["dora"],
        tech=people["tomas"],
        manager=people["mina"],
        owner=people["orla"],
        customer=vessel.owner,
        family=engines[0].family,
        vessel=vessel,
        port=engines[0],
        starboard=engines[1],
        port_unit=units[0],
        starboard_unit=units[1],
    )


def session_of(person: Person) -> str:
    """The key of a session in which the person is logged in."""
    client = Client()
    client.force_login(person)
    return str(client.cookies["sessionid"].value)


def keep_to_the_office() -> None:
    """The shop says that technicians open no jobs, write no concerns, and see neither Insight nor prices."""
    from staff.models import ShopProfile
    from staff.queries import shop_profile
    from staff.roles import LEFT_TO_THE_SHOP

    shop_profile()
    ShopProfile.objects.update(**dict.fromkeys(LEFT_TO_THE_SHOP.values(), False))
