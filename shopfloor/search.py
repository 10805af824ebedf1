"""The one search box: what fits a name, phone, boat, HIN, slip, serial, job number, part number or fault code.

Every way in meets an index, and the number of queries does not depend on what is found.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from django.db.models import Prefetch, Q, QuerySet
from django.db.models.functions import Lower, Trim
from django.urls import reverse

from engineering.codes import Code, CodeSystem, recognize
from findings.models import Fault
from parts.queries import find_parts
from vessels.models import Customer, CustomerEmail, Vessel
from vessels.models.searching import squeeze, words_of
from vessels.queries import find_vessels, phone_search, word_query
from workorders.models import Job
from workorders.states import OPEN

FEW = 8
LEAST = 2
LONGEST = 100
_OPEN_FIRST = ("-is_open", "-last_seen_at", "pk")
_JOB = re.compile(r"(?:job|no|nr|#)?[\s.#:]*([0-9]{1,9})", re.IGNORECASE)
_SPN_ALONE = re.compile(r"SPN\s*[:#]?\s*([0-9]{1,6})", re.IGNORECASE)
_PLAIN_OBD = re.compile(r"[PCBU][0-3][0-9A-F]{3}")


@dataclass(frozen=True)
class Hit:
    """One thing found. ``matched`` says what of it fits, where the title does not show that already."""

    title: str
    url: str
    facts: str = ""
    matched: str = ""
    tag: str = ""
    jobs: tuple[Job, ...] = ()
    fault: Fault | None = None
    is_exact: bool = False


@dataclass(frozen=True)
class Group:
    """What was found of one kind. ``more_url`` leads to the rest where there is more."""

    label: str
    icon: str
    hits: list[Hit]
    has_more: bool = False
    more_url: str = ""


@dataclass(frozen=True)
class Found:
    """The whole answer. ``exact`` are hits that were named in full; they come first."""

    text: str
    exact: list[Hit] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    is_too_short: bool = False

    @property
    def count(self) -> int:
        """How many hits are shown."""
        return len(self.exact) + sum(len(group.hits) for group in self.groups)

    @property
    def says(self) -> str:
        """The answer in a sentence, for those who hear the page."""
        if self.is_too_short:
            return "Type two characters or more."
        more = " and more" if any(group.has_more for group in self.groups) else ""
        return f"{self.count or 'Nothing'} found{more} for {self.text}."


def typed(text: str) -> str:
    """What was typed, without what cannot be searched for."""
    shown = "".join(" " if unicodedata.category(sign).startswith("C") else sign for sign in text)
    return " ".join(shown.split())[:LONGEST]


def search_everything(text: str) -> Found:
    """Everything that fits, by kind, with what was named in full on top."""
    wanted = typed(text)
    if len(wanted) < LEAST:
        return Found(wanted, is_too_short=True)
    groups = [find(wanted) for find in _FINDERS]
    exact = [hit for group in groups for hit in group.hits if hit.is_exact]
    rest = [
        Group(group.label, group.icon, [hit for hit in group.hits if not hit.is_exact], group.has_more, group.more_url)
        for group in groups
    ]
    return Found(wanted, exact, [group for group in rest if group.hits])


def _list_of(name: str, text: str) -> str:
    return f"{reverse(name)}?{urlencode({'q': text})}"


def _has_digit(text: str) -> bool:
    """Whether it can be a serial number or a code: asking for what it cannot be would only cost time."""
    return any(sign.isdigit() for sign in text)


# --- jobs ---


def _jobs(text: str) -> Group:
    number = _JOB.fullmatch(text)
    jobs: QuerySet[Job] = Job.objects.none()
    if number and int(number[1]) < 2**31:
        jobs = Job.objects.filter(number=int(number[1])).select_related("vessel", "customer")
    hits = [
        Hit(
            f"Job {job.number}",
            reverse("workorders:job", args=[job.number]),
            f"{job.vessel} · {job.customer}",
            tag=job.get_state_display(),
            is_exact=True,
        )
        for job in jobs
    ]
    return Group("Jobs", "jobs", hits)


# --- vessels ---


def _vessels(text: str) -> Group:
    open_jobs = Job.objects.filter(state__in=[state.value for state in OPEN]).order_by("-number")
    beside: list[Prefetch[Any, Any, Any] | str] = [
        Prefetch("jobs", open_jobs.only("number", "state", "vessel"), to_attr="open_jobs")
    ]
    if _has_digit(text):
        beside.append("engines")
    if phone_search(text) is not None:
        beside.append("owner__phones")
    vessels = list(find_vessels(text, at_most=FEW + 1).prefetch_related(*beside))
    hits = [_vessel_hit(vessel, text) for vessel in vessels[:FEW]]
    return Group("Vessels", "vessels", hits, len(vessels) > FEW, _list_of("vessels:list", text))


def _vessel_hit(vessel: Vessel, text: str) -> Hit:
    tight = squeeze(text)
    what = " ".join(str(word) for word in [vessel.model_year or "", vessel.maker, vessel.model] if word)
    is_exact = bool(vessel.hin) and tight in {squeeze(vessel.hin), squeeze(vessel.hin)[-12:]}
    serials = [engine.serial for engine in vessel.engines.all()] if _has_digit(text) else []
    return Hit(
        str(vessel),
        reverse("vessels:vessel", args=[vessel.pk]),
        " · ".join(word for word in [vessel.owner.name, what, vessel.berth] if word),
        _why_vessel(vessel, text),
        jobs=tuple(vessel.open_jobs),  # type: ignore[attr-defined]
        is_exact=is_exact or any(len(tight) >= 4 and tight == squeeze(serial) for serial in serials),
    )


def _why_vessel(vessel: Vessel, text: str) -> str:
    """What of the vessel fits, where neither its name nor its owner's shows it."""
    tight = squeeze(text)
    engines = vessel.engines.all() if _has_digit(text) else []
    phones = vessel.owner.phones.all() if phone_search(text) is not None else []
    ways: list[tuple[str, str, Callable[[str], bool]]] = [
        ("HIN", vessel.hin, lambda value: squeeze(value).startswith(tight) or squeeze(value)[-12:].startswith(tight)),
        ("registration", vessel.registration, lambda value: squeeze(value).startswith(tight)),
        ("berth", vessel.berth, lambda value: squeeze(value).startswith(tight)),
        *(
            (f"{engine.get_position_display().lower()} engine, serial", engine.serial,
             lambda value: squeeze(value).startswith(tight))
            for engine in engines
        ),
        *(("phone", phone.number, lambda value: _ends_in(value, text)) for phone in phones),
    ]  # fmt: skip
    return ", ".join(f"{label} {value}" for label, value, fits in ways if value and fits(value))


def _ends_in(number: str, text: str) -> bool:
    digits, wanted = re.sub(r"\D", "", number), re.sub(r"\D", "", text)
    return len(wanted) >= 4 and not re.search(r"[^\W\d]", text) and (digits.endswith(wanted) or wanted.endswith(digits))


# --- customers ---


def _customers(text: str) -> Group:
    beside: list[Prefetch[Any, Any, Any] | str] = [
        Prefetch("vessels", Vessel.objects.only("name", "maker", "model", "owner"))
    ]
    fits = _customers_that_fit(text, beside)
    if fits is None:
        return Group("Customers", "customers", [])
    # Sorted by what no index holds: in the order of names, the planner would try every customer in turn.
    found = Customer.objects.filter(fits).order_by(Lower(Trim("name")), "pk").prefetch_related(*beside)
    customers = list(found[: FEW + 1])
    hits = [_customer_hit(customer, text) for customer in customers[:FEW]]
    return Group("Customers", "customers", hits, len(customers) > FEW, _list_of("vessels:customers", text))


def _customers_that_fit(text: str, beside: list[Prefetch[Any, Any, Any] | str]) -> Q | None:
    """By mail address, or by words and phone number; what shows the match is fetched beside."""
    if "@" in text:
        beside.append("emails")
        mails = CustomerEmail.objects.annotate(low=Lower("address")).filter(low__startswith=text.lower())
        return Q(pk__in=mails.order_by().values("customer"))
    words, phones = word_query(text), phone_search(text)
    if words is None:
        return None
    named = Customer.objects.annotate(words=words_of("name", "contact")).filter(words=words).order_by().values("pk")
    if phones is None:
        return Q(pk__in=named)
    beside.append("phones")
    return Q(pk__in=named.union(phones.order_by().values("customer")))


def _customer_hit(customer: Customer, text: str) -> Hit:
    boats = [str(vessel) for vessel in customer.vessels.all()]
    shown = ", ".join(boats[:3]) + (f" and {len(boats) - 3} more" if len(boats) > 3 else "")
    matched: list[str] = []
    if phone_search(text) is not None:
        matched += [f"phone {phone.number}" for phone in customer.phones.all() if _ends_in(phone.number, text)]
    elif "@" in text:
        matched += [mail.address for mail in customer.emails.all() if mail.address.lower().startswith(text.lower())]
    elif customer.contact and word_fits(customer.contact, text) and not word_fits(customer.name, text):
        matched.append(f"contact {customer.contact}")
    url = reverse("vessels:customer", args=[customer.pk])
    return Hit(customer.name, url, shown or "no boat on record", ", ".join(matched))


def word_fits(value: str, text: str) -> bool:
    """Whether some word of the value begins with some word typed."""
    begins = [word.lower() for word in re.findall(r"\w+", text)]
    return any(word.lower().startswith(begin) for word in re.findall(r"\w+", value) for begin in begins)


# --- parts and faults ---


def _parts(text: str) -> Group:
    parts = list(find_parts(text, at_most=FEW + 1))
    hits = [
        Hit(
            part.description,
            reverse("parts:part", args=[part.pk]),
            part.maker,
            f"part number {part.number}",
            tag="" if part.is_active else "no longer sold",
            is_exact=len(squeeze(text)) >= 4 and squeeze(part.number) == squeeze(text),
        )
        for part in parts[:FEW]
    ]
    return Group("Parts", "parts", hits, len(parts) > FEW, _list_of("parts:list", text))


def _faults(text: str) -> Group:
    if not _has_digit(text):
        return Group("Faults", "fault", [])
    # Each way in on its own, in the order of its index: a common code has as many faults as the shop has engines.
    first, *others = [
        Fault.objects.filter(way).exclude(state="none").order_by(*_OPEN_FIRST).values("pk")[: FEW + 1]
        for way in _codes(text)
    ]
    faults = list(
        Fault.objects.filter(pk__in=first.union(*others, all=True))
        .select_related("vessel", "engine", "unit")
        .defer("history")
        .order_by(*_OPEN_FIRST)[: FEW + 1]
    )
    hits = [
        Hit(
            fault.label,
            reverse("findings:fault", args=[fault.pk]),
            f"{fault.vessel} · {fault.engine.get_position_display().lower() if fault.engine else fault.unit.name}",
            fault=fault,
        )
        for fault in faults[:FEW]
    ]
    return Group("Faults", "fault", hits, len(faults) > FEW)


def _codes(text: str) -> list[Q]:
    """The codes that the text can name: one as written, all of an SPN, an OBD code with any failure type, a maker's."""
    wanted = [Q(system=CodeSystem.MAKER, code=text.upper())]
    spn = _SPN_ALONE.fullmatch(text)
    if spn:
        return [*wanted, Q(system=CodeSystem.SPN, code__in=[f"{int(spn[1])}-{fmi}" for fmi in range(32)])]
    code = recognize(text)
    if code is None or code == Code(CodeSystem.MAKER, text.upper()):
        return wanted
    if code.system == CodeSystem.OBD and _PLAIN_OBD.fullmatch(code.text):
        spellings = [code.text, *(f"{code.text}-{failure:02X}" for failure in range(256))]
        return [*wanted, Q(system=code.system, code__in=spellings)]
    return [*wanted, Q(system=code.system, code=code.text)]


_FINDERS: list[Callable[[str], Group]] = [_jobs, _vessels, _customers, _faults, _parts]
