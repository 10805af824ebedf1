"""Adding and changing customers."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from django.utils import timezone

from commands.envelope import command, tell
from commands.refusals import Conflict, Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import Customer, CustomerEmail, CustomerPhone
from vessels.phones import dialed, shop_region, written
from web.versions import apply_changes

Labeled = Sequence[tuple[str, str]]
"""Pairs of label and number or address, in the order in which they are shown."""


@command("add_customer", needs=Permission.EDIT_RECORDS)
def add_customer(
    *,
    by: Person,
    name: str,
    kind: str = "person",
    phones: Labeled = (),
    emails: Labeled = (),
    contact: str = "",
    address: str = "",
    notes: str = "",
    entry_id: uuid.UUID | None = None,
) -> Customer:
    """Add a person or a firm. ``entry_id`` is the form's: sent again, it gives the same customer."""
    customer = Customer.objects.create(
        name=_named(name),
        kind=kind,
        contact=contact,
        address=address,
        notes=notes,
        changed_by=by,
        added_at=timezone.now(),
    )
    _write_phones(customer, phones)
    _write_emails(customer, emails)
    return customer


@command("change_customer", needs=Permission.EDIT_RECORDS)
def change_customer(
    *,
    by: Person,
    customer: Customer,
    seen_version: int,
    changes: Mapping[str, Any],
    phones: Labeled | None = None,
    emails: Labeled | None = None,
    entry_id: uuid.UUID | None = None,
) -> Customer:
    """Change a customer; None leaves the phones or mails as they are.

    Raises:
        Conflict: somebody else saved in the meantime.
    """
    if "name" in changes:
        changes = {**changes, "name": _named(changes["name"])}
    stored = Customer.objects.select_for_update(of=("self",)).select_related("changed_by").get(pk=customer.pk)
    if phones is not None:
        region = shop_region()
        phones = [(label, written(number, region=region)) for label, number in phones]
    lists = _differing_lists(stored, phones, emails)
    if lists and stored.version != seen_version:
        raise _conflict(stored, changes, lists)
    changed = apply_changes(customer, seen_version=seen_version, changes=changes, by=by)
    if "phones" in lists:
        customer.phones.all().delete()
        _write_phones(customer, phones or ())
    if "emails" in lists:
        customer.emails.all().delete()
        _write_emails(customer, emails or ())
    if lists:
        tell(**{name: [] for name in lists})
    if lists and not changed:
        customer.version += 1
        customer.changed_by = by
        customer.save(update_fields=["version", "changed_by"])
    return customer


def _named(name: str) -> str:
    if not name.strip():
        raise Refused("A customer needs a name.", fields={"name": "Enter a name."})
    return name.strip()


def _differing_lists(stored: Customer, phones: Labeled | None, emails: Labeled | None) -> dict[str, tuple[str, str]]:
    """``{list: (stored, wanted)}`` as text, for the lists that are given and differ."""
    had_phones = [(phone.label, phone.number) for phone in stored.phones.all()]
    had_emails = [(email.label, email.address) for email in stored.emails.all()]
    found = {}
    for name, had, wanted in [("phones", had_phones, phones), ("emails", had_emails, emails)]:
        if wanted is not None and had != [(label.strip(), value.strip()) for label, value in wanted]:
            found[name] = (_as_lines(had), _as_lines(wanted))
    return found


def _as_lines(pairs: Labeled) -> str:
    return "\n".join(f"{label} {value}".strip() for label, value in pairs)


def _conflict(stored: Customer, changes: Mapping[str, Any], lists: Mapping[str, tuple[str, str]]) -> Conflict:
    differing = {name: value for name, value in changes.items() if getattr(stored, name) != value}
    return Conflict(
        "Somebody saved this while you were typing. Nothing of yours is lost: compare both below, then save again.",
        theirs={name: getattr(stored, name) for name in differing} | {name: pair[0] for name, pair in lists.items()},
        mine={**differing, **{name: pair[1] for name, pair in lists.items()}},
        by=str(stored.changed_by or "somebody else"),
    )


def _write_phones(customer: Customer, phones: Labeled) -> None:
    region = shop_region()
    CustomerPhone.objects.bulk_create(
        CustomerPhone(
            customer=customer,
            label=label.strip(),
            number=written(number, region=region),
            digits=dialed(number, region=region),
            position=position,
        )
        for position, (label, number) in enumerate(phones)
    )


def _write_emails(customer: Customer, emails: Labeled) -> None:
    CustomerEmail.objects.bulk_create(
        CustomerEmail(customer=customer, label=label.strip(), address=address.strip(), position=position)
        for position, (label, address) in enumerate(emails)
    )
