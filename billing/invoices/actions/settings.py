"""What the shop's invoices rest on: terms, what the shop and a customer are, and the accounts of its books."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from billing.invoices.countries import refuse_unknown_country
from billing.invoices.journal import ROLES, TAX
from billing.invoices.models import Account, BillingProfile, CustomerBilling
from billing.invoices.queries.shop import billing_profile
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import Customer
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound

OF_SHOP = ("terms_days", "how_to_pay", "country", "registration", "vat_id")
OF_CUSTOMER = ("country", "vat_id", "terms_days")
MOST = 1000


@command("change_billing", needs=Permission.MANAGE_SHOP)
def change_billing(
    *, by: Person, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> BillingProfile:
    """Change what the shop's invoices say from now on.

    Raises:
        Conflict: somebody else changed it meanwhile.
        Refused: a value cannot be.
    """
    profile = billing_profile()
    told = _told(BillingProfile(pk=1), changes, OF_SHOP)
    if len(told.get("how_to_pay", "")) > MOST:
        raise Refused("This is too long.", fields={"how_to_pay": f"No more than {MOST:,} characters."})
    apply_changes(profile, seen_version=seen_version, changes=told, by=by)
    return profile


@command("change_customer_billing", needs=Permission.MAKE_INVOICES, writes_to="customer")
def change_customer_billing(
    *,
    by: Person,
    customer: Customer,
    seen_version: int,
    changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> CustomerBilling:
    """Change what a customer's invoices need from now on.

    Raises:
        Conflict: somebody else changed it meanwhile.
        Refused: a value cannot be.
    """
    own, _ = CustomerBilling.objects.get_or_create(customer=customer)
    told = _told(CustomerBilling(customer=customer), changes, OF_CUSTOMER)
    apply_changes(own, seen_version=seen_version, changes=told, by=by)
    return own


@command("name_account", needs=Permission.MANAGE_SHOP)
def name_account(
    *, by: Person, role: str, code: str = "", name: str = "", entry_id: uuid.UUID | None = None
) -> Account:
    """Say under which account of the shop's books a kind of sum is kept.

    Raises:
        Refused: there is no such kind of sum, or the account is too long.
    """
    if role not in ROLES and not role.startswith(TAX):
        raise Refused("There is no such kind of sum.")
    account = Account.objects.filter(role=role).first() or Account(role=role)
    before = str(account)
    account.code, account.name, account.changed_by = code.strip(), name.strip(), by
    account.version += 0 if account.pk is None else 1
    refuse_unsound(account, ["role", "code", "name"])
    account.save()
    tell(account=[before, str(account)])
    return account


def _told(blank: Any, changes: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    """The changes without space around them, if the columns take them."""
    told = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    for name in ("country", "vat_id"):
        if name in told:
            told[name] = told[name].upper()
    for name, value in told.items():
        if name not in names:
            raise ValueError(f"there is no {name} to change")
        setattr(blank, name, value)
    refuse_unsound(blank, told)
    refuse_unknown_country(told.get("country", ""))
    return told
