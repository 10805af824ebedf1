"""Taxes begin, change from a day on, and end; customers bring certificates. A rate that was in use is never changed."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone

from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from vessels.models import Customer
from vessels.wording import date_words
from workorders.actions.checking import refuse_unsound
from workorders.models import Job
from workorders.reckoning import CapPer, ChargeKind
from workorders.taxes.models import CAP_WORDS, KIND_FIELDS, JobTaxes, SalesTax, TaxExemption, TaxRate
from workorders.taxes.queries import taxes_on, written_rules

EARLIEST = date(1950, 1, 1)
FARTHEST = timedelta(days=10 * 366)
ONE_DAY = timedelta(days=1)
NO_SUCH_RATE = "This rate is no longer there. Look at the page again."


def _today() -> date:
    return local_day(timezone.now())


@command("add_tax", needs=Permission.SET_TAXES)
def add_tax(
    *,
    by: Person,
    name: str,
    percent: Decimal,
    kinds: Sequence[ChargeKind],
    starts_on: date | None = None,
    cap: Decimal | None = None,
    cap_per: CapPer = CapPer.DOCUMENT,
    on_tax: SalesTax | None = None,
    entry_id: uuid.UUID | None = None,
) -> SalesTax:
    """Begin a tax with its first rate, from today where no day is said.

    ``cap`` is the largest sum that it is due on, of each line or of the whole; ``on_tax`` another tax that it is due on
    as well.

    Raises:
        Refused: there is one of this name, or the rate cannot be.
    """
    tax = SalesTax(name=name.strip())
    refuse_unsound(tax, ["name"])
    if SalesTax.objects.filter(name__iexact=tax.name).exists():
        sentence = "There is a tax of this name. Give it a new rate instead."
        raise Refused(sentence, fields={"name": sentence})
    first = starts_on or _today()
    rate = _rate(tax, by, percent, kinds, first, cap=cap, cap_per=cap_per, on_tax=on_tax)
    if first < EARLIEST:
        raise Refused("This is too long ago.", fields={"starts_on": "Check the year."})
    tax.save()
    rate.save()
    tell(rate=[None, _told(rate)])
    return tax


@command("add_tax_rate", needs=Permission.SET_TAXES, writes_to="tax")
def add_tax_rate(
    *,
    by: Person,
    tax: SalesTax,
    percent: Decimal,
    kinds: Sequence[ChargeKind],
    starts_on: date,
    cap: Decimal | None = None,
    cap_per: CapPer = CapPer.DOCUMENT,
    on_tax: SalesTax | None = None,
    entry_id: uuid.UUID | None = None,
) -> TaxRate:
    """Give a tax another rate from a day on; the one before ends the day before.

    Raises:
        Refused: the day is before today, there is a later rate already, or the rate cannot be.
    """
    rate = _rate(tax, by, percent, kinds, starts_on, cap=cap, cap_per=cap_per, on_tax=on_tax)
    _refuse_circle(tax, on_tax)
    if starts_on < _today():
        sentence = "Work was added up with the old rate until now. A new rate begins today, or later."
        raise Refused(sentence, fields={"starts_on": sentence})
    last = tax.rates.order_by("-starts_on").first()
    if last is not None and last.starts_on >= starts_on:
        sentence = f"A rate begins on {date_words(last.starts_on)} already. Remove it first, or choose a later day."
        raise Refused(sentence, fields={"starts_on": sentence})
    before = _told(last) if last is not None and last.holds_on(starts_on) else None
    if last is not None and (last.ends_on is None or last.ends_on >= starts_on):
        last.ends_on = starts_on - ONE_DAY
        last.save(update_fields=["ends_on"])
    rate.save()
    tell(rate=[before, _told(rate)])
    return rate


@command("end_tax", needs=Permission.SET_TAXES, writes_to="tax")
def end_tax(*, by: Person, tax: SalesTax, last_day: date, entry_id: uuid.UUID | None = None) -> SalesTax:
    """End a tax after a day; a new rate may begin later.

    Raises:
        Refused: the day has passed, or no rate is in force that could end then.
    """
    if last_day < _today():
        sentence = "Work was added up with this tax until now. Its last day is today, or later."
        raise Refused(sentence, fields={"last_day": sentence})
    last = tax.rates.order_by("-starts_on").first()
    if last is None or last.starts_on > last_day:
        sentence = "A rate begins after this day. Remove it first."
        raise Refused(sentence, fields={"last_day": sentence})
    if last.ends_on is not None and last.ends_on < last_day:
        sentence = f"It ends on {date_words(last.ends_on)} already."
        raise Refused(sentence, fields={"last_day": sentence})
    tell(last_day=[None if last.ends_on is None else last.ends_on.isoformat(), last_day.isoformat()])
    last.ends_on = last_day
    last.save(update_fields=["ends_on"])
    return tax


@command("remove_tax_rate", needs=Permission.SET_TAXES, writes_to="tax")
def remove_tax_rate(*, by: Person, tax: SalesTax, starts_on: date, entry_id: uuid.UUID | None = None) -> SalesTax:
    """Remove a rate that begins today or later; the one that ended for it goes on.

    Raises:
        Refused: it was in use before today, or it is not there.
    """
    rates = list(tax.rates.order_by("starts_on"))
    taken = next((one for one in rates if one.starts_on == starts_on), None)
    if taken is None:
        raise Refused(NO_SUCH_RATE)
    if starts_on < _today():
        raise Refused("This rate was in use before today. End it, and begin a new one.")
    if taken is not rates[-1]:
        raise Refused("A later rate follows this one. Remove that first.")
    tell(rate=[_told(taken), None])
    if len(rates) > 1 and rates[-2].ends_on == starts_on - ONE_DAY:
        rates[-2].ends_on = None
        rates[-2].save(update_fields=["ends_on"])
    taken.delete()
    return tax


@command("add_certificate", needs=Permission.SET_PRICES, writes_to="customer")
def add_certificate(
    *,
    by: Person,
    customer: Customer,
    certificate: str,
    tax: SalesTax | None = None,
    reason: str = "",
    last_day: date | None = None,
    entry_id: uuid.UUID | None = None,
) -> TaxExemption:
    """Note the certificate by which a customer does not owe a tax, or any tax.

    Raises:
        Refused: it has no number, it has run out already, or the same is noted.
    """
    made = TaxExemption(
        customer=customer,
        tax=tax,
        certificate=certificate.strip(),
        reason=reason.strip(),
        last_day=last_day,
        added_by=by,
        added_at=timezone.now(),
    )
    refuse_unsound(made, ["certificate", "reason"])
    today = _today()
    if last_day is not None and last_day < today:
        sentence = "This certificate has run out already. Ask for a new one."
        raise Refused(sentence, fields={"last_day": sentence})
    if last_day is not None and last_day > today + 5 * FARTHEST:
        raise Refused("This day is too far away.", fields={"last_day": "Check the year."})
    same = TaxExemption.objects.filter(customer=customer, tax=tax, certificate=made.certificate, ended_at=None)
    if any(one.holds_on(today) for one in same):
        sentence = "This certificate is noted already."
        raise Refused(sentence, fields={"certificate": sentence})
    made.save()
    tell(certificate=[None, f"{made.certificate}, {made.of_what}"])
    return made


@command("end_certificate", needs=Permission.SET_PRICES, writes_to="exemption.customer")
def end_certificate(*, by: Person, exemption: TaxExemption, entry_id: uuid.UUID | None = None) -> TaxExemption:
    """Let a certificate count no longer. It stays visible."""
    exemption.refresh_from_db()
    if exemption.ended_at is None:
        exemption.ended_at, exemption.ended_by = timezone.now(), by
        exemption.save(update_fields=["ended_at", "ended_by"])
        tell(certificate=[f"{exemption.certificate}, {exemption.of_what}", None])
    return exemption


def settle_taxes(job: Job, *, day: date | None) -> None:
    """Keep the taxes of this day with a job that is closed; let go of them where it is opened again (``day`` None).

    Part of moving a job, under its lock.
    """
    if job.tax_percent is not None:
        return
    if day is None:
        JobTaxes.objects.filter(job=job).delete()
        return
    rules = taxes_on(day, [job.customer_id])[job.customer_id]
    JobTaxes.objects.update_or_create(job=job, defaults={"day": day, "taxes": written_rules(rules)})


def _rate(
    tax: SalesTax, by: Person, percent: Decimal, kinds: Sequence[ChargeKind], starts_on: date, *,
    cap: Decimal | None, cap_per: CapPer, on_tax: SalesTax | None,
) -> TaxRate:  # fmt: skip
    rate = TaxRate(tax=tax, percent=percent, starts_on=starts_on, added_by=by, added_at=timezone.now())
    rate.cap, rate.cap_per, rate.on_tax = cap, CapPer(cap_per).value, on_tax
    for kind in kinds:
        setattr(rate, KIND_FIELDS[kind], True)
    refuse_unsound(rate, ["percent", "cap", "cap_per"])
    if cap is not None and on_tax is not None:
        sentence = "Leave one of both empty: a tax stops at a sum, or is due on another tax as well."
        raise Refused(sentence, fields={"on_tax": sentence})
    if not kinds:
        sentence = "Choose at least one kind of charge."
        raise Refused(sentence, fields={"kinds": sentence})
    if starts_on > _today() + FARTHEST:
        raise Refused("This day is too far away.", fields={"starts_on": "Check the year."})
    return rate


def _refuse_circle(tax: SalesTax, on_tax: SalesTax | None) -> None:
    """No tax is due on itself, nor over others; a rate that is over, or to come, counts as well."""
    reached, next_ones = set(), {on_tax.pk} if on_tax is not None else set()
    while next_ones:
        reached |= next_ones
        found = TaxRate.objects.filter(tax__in=next_ones, on_tax__isnull=False).values_list("on_tax", flat=True)
        next_ones = {key for key in found if key is not None} - reached
    if tax.pk in reached:
        sentence = f"{on_tax} is due on {tax}, or was: neither can be in the other’s base."
        if on_tax is not None and on_tax.pk == tax.pk:
            sentence = "A tax is not due on itself."
        raise Refused(sentence, fields={"on_tax": sentence})


def _told(rate: TaxRate) -> str:
    cap = f", on no more than {rate.cap} {CAP_WORDS[CapPer(rate.cap_per)]}" if rate.cap is not None else ""
    on = f", and on {rate.on_tax}" if rate.on_tax is not None else ""
    return f"{rate.percent_words} on {rate.kind_words}{on}{cap} from {rate.starts_on.isoformat()}"
