"""Which taxes a job has. An open job has those of today; a closed one keeps those of the day on which it was closed.

A job that was opened before taxes had dates keeps the one percentage that it began with.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import Q
from django.utils import timezone

from engineering.canonical import plain_decimal
from staff.queries import local_day
from vessels.wording import date_words
from web.rows import rows
from workorders.models import Job
from workorders.money import Priced, money_words
from workorders.reckoning import CapPer, ChargeKind, Discount, Item, Reckoning, Tax, TaxDue, reckon
from workorders.taxes.models import TaxExemption, TaxRate

KEPT_NAME = "Tax"


@dataclass(frozen=True)
class TaxRules:
    """The taxes of a job or a customer: ``certificates`` by the key of the tax that they exempt from.

    ``discount`` is that of the job as a whole.
    """

    taxes: tuple[Tax, ...] = ()
    certificates: Mapping[str, str] = field(default_factory=dict)
    run_out: tuple[str, ...] = ()
    """A sentence for each certificate that has run out, so that a tax is charged again."""
    discount: Discount | None = None

    @property
    def counts_lines(self) -> bool:
        """Whether it matters which charges stand on one line: a tax stops at a sum of each."""
        return any(tax.cap is not None and tax.cap_per is CapPer.LINE for tax in self.taxes)

    @property
    def exempt(self) -> frozenset[str]:
        """The keys of the taxes that the customer does not owe."""
        return frozenset(self.certificates)

    def words(self, due: TaxDue) -> str:
        """What stands before the sum of a tax: “State sales tax, 6 %”."""
        return tax_words(due)

    def reckon(self, charges: Iterable[Priced], *, currency: str) -> Reckoning:
        """What all charges of a job come to, its discount taken off; the caller leaves out those that are voided."""
        return self.reckon_with(charges, self.discount, currency=currency)

    def reckon_with(self, charges: Iterable[Priced], discount: Discount | None, *, currency: str) -> Reckoning:
        """What some charges come to with a discount of their own. One in money is never more than they come to."""
        items = [
            Item(ChargeKind(one.kind), one.quantity, one.unit_price, one.taxable, one.discount, one.is_core)
            for one in charges
        ]
        found = reckon(items, taxes=self.taxes, exempt=self.exempt, currency=currency)
        if discount is None:
            return found
        within = discount.within(found.discountable)
        return reckon(items, taxes=self.taxes, exempt=self.exempt, currency=currency, discount=within)


def tax_words(due: TaxDue) -> str:
    """A tax with its percentage: “State sales tax, 6 %”, “County tax (on no more than $5,000.00 of each line), 1 %”."""
    about = about_tax(due)
    return f"{due.tax.name}{f' ({about})' if about else ''}, {plain_decimal(due.tax.percent)} %"


def about_tax(due: TaxDue) -> str:
    """What of a tax its percentage does not say: where it stopped, and which other tax is in its base."""
    if due.on:
        return f"on {due.on} as well"
    if due.uncapped is None or due.tax.cap is None:
        return ""
    of = "of each line" if due.tax.cap_per is CapPer.LINE else "in all"
    return f"on no more than {money_words(due.tax.cap, due.currency)} {of}"


def taxes_of(job: Job) -> TaxRules:
    """The taxes of a job, in at most two queries."""
    return taxes_of_jobs([job])[job.pk]


def _of_job(rules: TaxRules, job: Job) -> TaxRules:
    return replace(rules, discount=job.discount) if job.discount else rules


class _OfJob(NamedTuple):
    job_id: int
    taxes: str


_OF_JOBS = "SELECT job_id, taxes::text FROM taxes_jobtaxes WHERE job_id = ANY(%(jobs)s)"


def taxes_of_jobs(jobs: Sequence[Job], *, today: date | None = None) -> dict[int, TaxRules]:
    """The taxes of several jobs, in at most three queries; ``today`` where the caller knows the shop's day."""
    found = {job.pk: _kept(job.tax_percent) for job in jobs if job.tax_percent is not None}
    ended = [job.pk for job in jobs if job.pk not in found and not job.is_open]
    if ended:
        found |= {one.job_id: read_rules(json.loads(one.taxes)) for one in rows(_OfJob, _OF_JOBS, {"jobs": ended})}
    rest = [job for job in jobs if job.pk not in found]
    if rest:
        by_customer = taxes_on(today or local_day(timezone.now()), {job.customer_id for job in rest})
        found |= {job.pk: by_customer[job.customer_id] for job in rest}
    return {job.pk: _of_job(found[job.pk], job) for job in jobs}


def taxes_on(day: date, customers: Iterable[int]) -> dict[int, TaxRules]:
    """The taxes of a day for customers, by their keys: two queries, one where there are no taxes."""
    wanted = list(customers)
    rates = list(
        TaxRate.objects.filter(Q(ends_on=None) | Q(ends_on__gte=day), starts_on__lte=day)
        .select_related("tax")
        .order_by("tax")
    )
    if not rates:
        return dict.fromkeys(wanted, TaxRules())
    certificates: dict[int, list[TaxExemption]] = {one: [] for one in wanted}
    for one in (
        TaxExemption.objects.filter(customer__in=wanted, ended_at=None).select_related("customer").order_by("pk")
    ):
        certificates[one.customer_id].append(one)
    return {one: _rules(rates, certificates[one], day) for one in wanted}


def _rules(rates: Sequence[TaxRate], certificates: Sequence[TaxExemption], day: date) -> TaxRules:
    taxes, exempt, run_out = [], {}, []
    for rate in rates:
        tax = _tax(rate)
        taxes.append(tax)
        of_it = [one for one in certificates if one.tax_id in {None, rate.tax_id}]
        holding = [one for one in of_it if one.holds_on(day)]
        if holding:
            exempt[tax.key] = holding[-1].certificate
            continue
        latest = max(
            (one for one in of_it if one.has_run_out_by(day)), key=lambda one: one.last_day or day, default=None
        )
        if latest is not None and latest.last_day is not None:
            run_out.append(
                f"The certificate {latest.certificate} of {latest.customer} was valid until "
                f"{date_words(latest.last_day)}. It exempts from {tax.name} no more."
            )
    return TaxRules(tuple(taxes), exempt, tuple(run_out))


def rules_named(named: Iterable[tuple[str, str]], day: date) -> TaxRules | None:
    """The rules of a document that says its taxes: each with name and percentage alone, and the certificate, or "".

    Of several rates of a tax at one percentage the one that held on ``day`` counts. None where one of them was never
    one of the shop's rates.
    """
    every: dict[str, list[TaxRate]] = {}
    for rate in TaxRate.objects.select_related("tax").order_by("starts_on", "pk"):
        every.setdefault(f"{rate.tax.name}, {plain_decimal(rate.percent)} %", []).append(rate)
    taxes, certificates = [], {}
    for plain, certificate in named:
        rates = every.get(plain, [])
        if not rates:
            return None
        tax = _tax(next((one for one in reversed(rates) if one.starts_on <= day), rates[-1]))
        taxes.append(tax)
        if certificate:
            certificates[tax.key] = certificate
    return TaxRules(tuple(taxes), certificates)


def _tax(rate: TaxRate) -> Tax:
    return Tax(
        str(rate.tax_id), rate.tax.name, rate.percent, rate.kinds,
        cap=rate.cap, cap_per=CapPer(rate.cap_per), on=str(rate.on_tax_id or ""),
    )  # fmt: skip


def _kept(percent: Decimal) -> TaxRules:
    """One percentage on whatever is marked as taxed, as a job had it before taxes had dates."""
    return TaxRules((Tax("kept", KEPT_NAME, percent),)) if percent else TaxRules()


def written_rules(rules: TaxRules) -> list[dict[str, Any]]:
    """Rules as they are kept with a job or a document."""
    return [
        {
            "key": tax.key,
            "name": tax.name,
            "percent": str(tax.percent),
            "kinds": sorted(kind.value for kind in tax.kinds),
            "cap": None if tax.cap is None else str(tax.cap),
            "cap_per": tax.cap_per.value,
            "on": tax.on,
            "certificate": rules.certificates.get(tax.key, ""),
        }
        for tax in rules.taxes
    ]


def read_rules(written: Iterable[Mapping[str, Any]]) -> TaxRules:
    """Rules as they were kept."""
    taxes, certificates = [], {}
    for one in written:
        kinds = frozenset(ChargeKind(kind) for kind in one["kinds"])
        cap, per = one.get("cap"), CapPer(one.get("cap_per", CapPer.DOCUMENT))
        taxes.append(
            Tax(
                one["key"], one["name"], Decimal(one["percent"]), kinds,
                cap=None if cap is None else Decimal(cap), cap_per=per, on=one.get("on", ""),
            )
        )  # fmt: skip
        if one["certificate"]:
            certificates[one["key"]] = one["certificate"]
    return TaxRules(tuple(taxes), certificates)
