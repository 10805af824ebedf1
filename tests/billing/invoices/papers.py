"""Documents as they are frozen, without a database: what papers and structured data are tried on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from billing.invoices.building import _kinds, credit_document, tax_parts
from billing.invoices.crediting import of_lines, of_sum, what_is_left
from billing.invoices.record import (
    Concern,
    DepositPart,
    Document,
    JobPart,
    Line,
    Notice,
    Party,
    parts_of,
)  # fmt: skip
from workorders.reckoning import ChargeKind, Discount, Item, Tax, reckon

SHOP = Party(
    name="Marlin Creek Marine", address="12 Creek Road\nExampleton, ME 04000", phone="(555) 555-0100",
    email="office@marlincreek.example.com", country="US", registration="ME-4471",
)  # fmt: skip
CUSTOMER = Party(name="Wes Harrow", address="3 Quay Street\nExampleton, ME 04000", country="US")
STATE = Tax("1", "State sales tax", Decimal(6), frozenset({ChargeKind.PART, ChargeKind.FEE}))
COUNTY = Tax("2", "County tax", Decimal("1.5"), frozenset({ChargeKind.PART}))
CHARGES = [
    (1, ChargeKind.LABOR, "Labor", "2.5", "120.00"),
    (1, ChargeKind.PART, "TW-150 Raw water impeller", "2", "41.50"),
    (0, ChargeKind.FEE, "Haul-out and launch", "1", "90.00"),
]


def invoice(
    charges: list[tuple[int, ChargeKind, str, str, str]] | None = None,
    *,
    taxes: tuple[Tax, ...] = (STATE, COUNTY),
    certificates: dict[str, str] | None = None,
    discount: Discount | None = None,
    off: dict[int, Discount] | None = None,
    deposit: str = "150",
    shop: Party = SHOP,
    customer: Party = CUSTOMER,
) -> Document:
    """An invoice over charges: concern, kind, words, quantity, price; ``off`` are discounts of lines by their place."""
    told = CHARGES if charges is None else charges
    exempt = certificates or {}
    items = [
        Item(kind, Decimal(quantity), Decimal(price), True, (off or {}).get(place))
        for place, (_, kind, _, quantity, price) in enumerate(told)
    ]
    sums = reckon(items, taxes=taxes, exempt=frozenset(exempt), currency="USD", discount=discount)
    lines = tuple(
        Line(
            charge=place, concern=concern, kind=kind.value, description=words, quantity=one.item.quantity,
            unit_price=one.item.unit_price, amount=one.amount, discount=one.discount, share=one.share, net=one.net,
            taxes=tuple(tax.key for tax in taxes if kind in tax.kinds),
        )
        for place, ((concern, kind, words, _, _), one) in enumerate(zip(told, sums.items, strict=True))
    )  # fmt: skip
    taken = Decimal(deposit)
    return Document(
        number="INV-1001", issued_on=date(2026, 11, 28), due_on=date(2026, 12, 12), currency="USD", shop=shop,
        customer=customer, job=JobPart(number=1032, vessel="Second Wind", hin="GBD12345A525"),
        concerns=(
            Concern(
                position=1, concern="Will not hold 3000 rpm", engine="port engine",
                correction="New impeller and gasket, sea trial to 3200 rpm.",
            ),
        ),
        lines=lines, kinds=tuple(_kinds(lines)), subtotal=sums.subtotal, discount=sums.discount, net=sums.net,
        taxes=tax_parts(sums.taxes, exempt),
        tax=sums.tax, total=sums.total, due=sums.total - taken,
        deposits=(
            (DepositPart(day=date(2026, 11, 20), means="check", reference="1021", amount=taken),) if taken else ()
        ),
        how_to_pay="By check to Marlin Creek Marine, or at the desk by card.",
        notices=(Notice(title="Lien", text="The boat stays with us until this is paid.", citation="Our terms, 4"),),
    )  # fmt: skip


def credit(of: Document, *, charges: set[int] | None = None, amount: str = "") -> Document:
    """A credit note over lines, over a sum, or over all."""
    left = what_is_left(of, [])
    whole = charges or (set() if amount else {line.charge for line in of.lines})
    parts = (
        of_lines(of, charges, set()) if charges else of_sum(left, Decimal(amount), "USD") if amount else parts_of(of)
    )
    return credit_document(
        of, number="CN-1001", issued_on=date(2026, 12, 1), parts=parts, charges=whole, reason="Agreed at the counter",
        shop=of.shop,
    )  # fmt: skip


def credit_of_nothing(of: Document) -> Document:
    """A credit note for the charges of an invoice of which every cent was credited as a sum before."""
    return credit_document(
        of, number="CN-1002", issued_on=date(2026, 12, 2), parts=dict.fromkeys(parts_of(of), Decimal(0)),
        charges={line.charge for line in of.lines}, reason="The charges go as well", shop=of.shop,
    )  # fmt: skip


def of_vat(**more: object) -> Document:
    """The same by a shop in a country of value added tax."""
    rate = Tax("1", "VAT", Decimal(19))
    shop = replace(SHOP, country="DE", vat_id="DE123456789", registration="HRB 0000")
    told = {"taxes": (rate,), "shop": shop, "customer": replace(CUSTOMER, country="DE"), **more}
    return invoice(**told)  # type: ignore[arg-type]
