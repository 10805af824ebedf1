"""Plays the scenario through the same actions that people use."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from findings.instruments.actions import add_calibration, add_instrument
from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter
from findings.readings.parameters import seed_parameters
from parts.actions import add_part
from shopfloor.demo.billing import billing_events
from shopfloor.demo.cards import REVISED_AGO, revise_card
from shopfloor.demo.clock import Clock
from shopfloor.demo.day import PlayedVisit
from shopfloor.demo.fleet import BOATS, CLIENTS, Boat, Motor
from shopfloor.demo.planning import plan_the_week
from shopfloor.demo.reminding import REMINDED_AGO, remind
from shopfloor.demo.servicing import DONE_AGO, PLANS_AGO, log_done, write_plans
from shopfloor.demo.sheets import save_sheets
from shopfloor.demo.shop import CARDS, FAMILIES, HANDS, INSTRUMENTS, MODEL_CARD, PARTS, PROFILE, Gauge, LimitRow
from shopfloor.demo.small_jobs import small_events
from shopfloor.demo.stage import Rig, Stage, scenario_id
from shopfloor.demo.unfinished import unfinished_events
from shopfloor.demo.visits import Visit, all_visits
from staff.models import Person, ShopProfile
from staff.queries import shop_profile
from vessels.actions import add_customer, add_engine, add_unit, add_vessel, change_owner
from vessels.models import EngineFamily, Vessel
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax

OWNER_CHANGED_AGO = 400
OPENED_AGO = 30 + max(*(boat.first_seen for boat in BOATS), *(max(gauge.calibrated_ago) for gauge in INSTRUMENTS))


def play_scenario(today: date, tell: Callable[[str], object] = str) -> Stage:
    """Fill an empty database with four years of the invented shop, ending on ``today``.

    ``tell`` is told in plain words how far it has come, ten times or so.
    """
    clock = Clock(today, ZoneInfo(PROFILE["time_zone"]))
    with transaction.atomic(), clock.running():
        clock.turn(clock.at(OPENED_AGO, "08:00"))
        stage = Stage(clock, _hire())
        _furnish(stage)
        events: list[tuple[int, int, object]] = [(boat.first_seen + 1, 0, boat) for boat in BOATS]
        events += [(visit.days_ago, 1, visit) for visit in all_visits()]
        events.append((OWNER_CHANGED_AGO, 0, "owner"))
        events += [(days_ago, -1, gauge) for gauge in INSTRUMENTS for days_ago in gauge.calibrated_ago]
        events += [(PLANS_AGO, -1, write_plans), (DONE_AGO, 2, log_done), (REMINDED_AGO, 8, remind)]
        events.append((REVISED_AGO, -1, revise_card))
        events += [(days_ago, 3, act) for days_ago, act in [*billing_events(), *small_events(), *unfinished_events()]]
        jobs, boats = 0, 0
        every = max(len(all_visits()) // 10, 1)
        for days_ago, _, event in sorted(events, key=lambda one: (-one[0], one[1])):
            if isinstance(event, Boat):
                boats += 1
                _bring_in(stage, event)
            elif isinstance(event, Visit):
                PlayedVisit(stage, event).play()
                jobs += 1
                if jobs % every == 0 or jobs == len(all_visits()):
                    tell(f"{boats} of {len(BOATS)} boats, {jobs} of {len(all_visits())} jobs")
            elif isinstance(event, Gauge):
                _calibrate(stage, event, days_ago)
            elif callable(event):
                event(stage)
            else:
                _sell_tern(stage)
        plan_the_week(stage)
    return stage


def _calibrate(stage: Stage, gauge: Gauge, days_ago: int) -> None:
    """An instrument comes back from the laboratory; the first time it is put into the register."""
    gail = stage.people["gail"]
    stage.clock.turn(stage.clock.at(days_ago, "07:20"))
    day = stage.clock.day(days_ago)
    due = day + timedelta(days=gauge.holds_days)
    known = stage.instruments.get(gauge.key)
    if known is None:
        stage.instruments[gauge.key] = add_instrument(
            by=gail, kind=gauge.kind, make=gauge.make, serial=gauge.serial, calibrated_on=day, due_on=due
        )
    else:
        add_calibration(by=gail, instrument=known, calibrated_on=day, due_on=due)


def _hire() -> dict[str, Person]:
    people = {}
    for hand in HANDS:
        person = Person.objects.create_person(
            username=hand.username, name=hand.name, role=hand.role, password=hand.password
        )
        person.qualification = hand.qualification
        person.save()
        people[hand.username] = person
    return people


def _limits(parameters: dict[str, Parameter], rows: Iterable[LimitRow]) -> list[NewLimit]:
    return [
        NewLimit(
            parameter=parameters[parameter],
            unit=unit,
            condition=condition,
            low=Decimal(low) if low else None,
            nominal=Decimal(nominal) if nominal else None,
            high=Decimal(high) if high else None,
        )
        for parameter, condition, low, nominal, high, unit in rows
    ]


def _furnish(stage: Stage) -> None:
    """Profile, families, spec cards, parts and customers."""
    profile = shop_profile()
    for name, value in PROFILE.items():
        setattr(profile, name, Decimal(value) if name == "labor_rate" else value)
    profile.save()
    ShopProfile.objects.get(pk=1).full_clean()
    add_tax(
        by=stage.people["otto"],
        name="State sales tax",
        percent=Decimal("5.5"),
        kinds=[ChargeKind.PART, ChargeKind.SUBLET, ChargeKind.FEE],
        entry_id=scenario_id("tax"),
    )
    seed_parameters()
    parameters = {parameter.name: parameter for parameter in Parameter.objects.all()}
    for key, (maker, name) in FAMILIES.items():
        stage.families[key] = EngineFamily.objects.create(maker=maker, name=name)
        add_card(
            by=stage.people["gail"],
            family=stage.families[key],
            title="Running checks",
            document=f"{maker} {name} workshop manual, 2nd edition, table 4 (invented)",
            limits=_limits(parameters, CARDS[key]),
        )
    key, model, year, page, rows = MODEL_CARD
    add_card(
        by=stage.people["gail"],
        family=stage.families[key],
        title=f"Running checks, {model}",
        document=f"{' '.join(FAMILIES[key])} workshop manual, 2nd edition, {page} (invented)",
        engine_models=model,
        year_from=year,
        limits=_limits(parameters, rows),
    )
    save_sheets(stage)
    for number, maker, description, price in PARTS:
        stage.parts[number] = add_part(
            by=stage.people["gail"], number=number, maker=maker, description=description, unit_price=Decimal(price)
        )
    for client in CLIENTS:
        stage.customers[client.key] = add_customer(
            by=stage.desk,
            name=client.name,
            kind=client.kind,
            phones=list(client.phones),
            emails=[("", client.email)] if client.email else [],
            contact=client.contact,
            address=client.address,
        )
    add_certificate(
        by=stage.desk,
        customer=stage.customers["pilots"],
        certificate="PX-20417",
        reason="Pilot boats",
        entry_id=scenario_id("certificate"),
    )


def _bring_in(stage: Stage, boat: Boat) -> None:
    """A boat comes in for the first time, with its engines and units."""
    at = stage.clock.turn(stage.clock.at(boat.first_seen + 1, "09:20"))
    vessel = add_vessel(
        by=stage.desk,
        owner=stage.customers[boat.owner],
        name=boat.name,
        hin=boat.hin,
        hin_remark=boat.remark,
        kind=boat.kind,
        maker=boat.maker,
        model=boat.model,
        model_year=boat.year,
        length=Decimal(boat.length_ft) if boat.length_ft else None,
        color=boat.color,
        berth=boat.berth,
        entry_id=scenario_id(boat.key),
        happened_at=at,
    )
    stage.boats[boat.key] = (boat, vessel)
    for index, motor in enumerate(boat.motors):
        _fit(stage, boat=boat, vessel=vessel, motor=motor, index=index, at=at)


def _fit(stage: Stage, *, boat: Boat, vessel: Vessel, motor: Motor, index: int, at: datetime) -> None:
    """One engine with its control unit."""
    engine = add_engine(
        by=stage.desk,
        vessel=vessel,
        position=motor.position,
        maker=FAMILIES[motor.family][0],
        model=motor.model,
        family=stage.families[motor.family],
        serial=motor.serial,
        year=motor.year,
        fuel=motor.fuel,
        power=Decimal(motor.kw),
        power_unit="kW",
        rated_rpm_low=motor.rpm[0] if motor.rpm else None,
        rated_rpm_high=motor.rpm[1] if motor.rpm else None,
        gear_ratio=Decimal(motor.gear) if motor.gear else None,
        propeller=motor.propeller,
        meter_shown=Decimal(str(motor.start_hours)),
        entry_id=scenario_id(boat.key, motor.position),
        happened_at=at,
    )
    unit = add_unit(
        by=stage.desk,
        vessel=vessel,
        engine=engine,
        name=motor.unit,
        address=index if motor.codes == "spn" else None,
        code_system=motor.codes,
        serial=f"U{motor.serial[-5:]}",
        hardware="H2",
        software=f"{3 + index}.0{index}",
        calibration=f"C{motor.serial[-3:]}A",
        entry_id=scenario_id(boat.key, motor.position, "unit"),
        happened_at=at,
    )
    stage.rigs[(boat.key, motor.position)] = Rig(motor, engine, unit, boat.first_seen)


def _sell_tern(stage: Stage) -> None:
    """The boat that changed its owner without losing its history."""
    at = stage.clock.turn(stage.clock.at(OWNER_CHANGED_AGO, "10:30"))
    buyer = add_customer(
        by=stage.desk,
        name="Ottoline Farrow",
        phones=[("mobile", "(555) 555-0138")],
        emails=[("", "ottoline@farrow.example")],
    )
    _, vessel = stage.boats["tern"]
    change_owner(
        by=stage.desk,
        vessel=vessel,
        new_owner=buyer,
        text="Sold by Corwin Vane; bill of sale seen at the counter.",
        entry_id=scenario_id("tern", "sold"),
        happened_at=at,
    )
