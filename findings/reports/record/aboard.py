"""Who and what a report is about: the shop, its people, the customer, the boat with its engines and units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFacts:
    """The shop that answers for the report."""

    name: str
    address: str
    phone: str
    email: str
    time_zone: str
    units: str = "us"


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonFacts:
    """Somebody of the shop who stands for a part of the report."""

    name: str
    role: str
    qualification: str
    license: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerFacts:
    """Who brought the boat to this job, and for whom the report is."""

    name: str
    contact: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselFacts:
    """The hull as at the job. ``changed_since`` tells what the shop's records call it by now, where that differs."""

    name: str
    hin: str
    hin_remark: str
    registration: str
    kind: str
    maker: str
    model: str
    model_year: int | None
    length_m: Decimal | None
    owner: str = ""
    changed_since: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineFacts:
    """One engine that was in the boat on the job, with its true hours at the last time somebody read them by its end.

    ``removed_on`` is there where it was taken out before the job ended, ``hours_in_doubt`` where its hours ran faster
    than the clock. ``unread_since`` says since when its hours are not known, as its meter was replaced unread, and
    ``hours_before`` and ``hours_before_at`` what was on record last before that.
    """

    position: str
    maker: str
    model: str
    family: str
    serial: str
    year: int | None
    fuel: str
    rated_power_kw: Decimal | None
    rated_rpm_low: int | None
    rated_rpm_high: int | None
    gear_ratio: Decimal | None
    propeller: str
    hours: Decimal | None
    hours_at: datetime | None
    meter_replaced: bool
    removed_on: date | None = None
    changed_since: tuple[str, ...] = ()
    hours_in_doubt: tuple[str, ...] = ()
    unread_since: datetime | None = None
    hours_before: Decimal | None = None
    hours_before_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFacts:
    """One control unit with what it last said it was; ``read_earlier`` names what was not read on that day.

    ``another_unit`` says that scans may be of another unit, where its serial number became another one since the job's
    first scan of it.
    """

    name: str
    engine: str
    code_system: str
    serial: str
    hardware: str
    software: str
    calibration: str
    identified_at: datetime | None
    read_earlier: tuple[str, ...] = ()
    another_unit: str = ""
