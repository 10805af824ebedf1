"""The fixed cast of the tests: the people of an invented shop, one customer, one boat with two engines."""

from __future__ import annotations

from dataclasses import dataclass

from django.test import Client

from staff.models import Person
from staff.policy import Role
from vessels.models import ControlUnit, Customer, Engine, EngineFamily, HourMeter, Ownership, Vessel

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


def make_cast() -> Cast:
    """Put the cast on stage; writes plain rows, without any log entry."""
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
