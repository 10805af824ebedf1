"""An invoice as structured data inside the PDF: EN 16931 as Cross Industry Invoice, the way Factur-X 1.0 attaches it.

A shop with a VAT number charges value added tax: each line has one rate (category S, or Z where it is zero), or is
exempt by certificate (E). A shop without one is outside the scope of VAT (category O), and its sales taxes are document
level charges, each with its name: EN 16931 knows no other tax than VAT (docs/decisions/0100). Where the data lack what
the standard requires, there is no structured data, and ``what_is_missing`` says what.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from billing.invoices.countries import COUNTRIES
from billing.invoices.record import CREDIT, LABOR, Document, Line, TaxPart
from engineering.canonical import plain_decimal
from workorders.reckoning import HUNDRED, rounded

NOTHING = Decimal("0.00")
GUIDELINE = "urn:cen.eu:en16931:2017"
SCHEMA = "FACTUR-X_EN16931"
FILE_NAME, RELATIONSHIP = "factur-x.xml", "Alternative"
INVOICE_CODE, CREDIT_CODE = "380", "381"  # UNTDID 1001
HOUR, ONE = "HUR", "C62"  # UN/ECE Recommendation 20
STANDARD, ZERO, EXEMPT, OUTSIDE = "S", "Z", "E", "O"  # UNTDID 5305
NOT_VAT = "Not subject to VAT"
NOT_VAT_CODE = "VATEX-EU-O"
ADDRESS_LINES = 3


@dataclass(frozen=True)
class Category:
    """How a line stands to VAT: its category and rate, and why it is exempt."""

    code: str
    percent: Decimal | None
    reason: str = ""


def what_is_missing(document: Document) -> list[str]:
    """What a document lacks of what EN 16931 asks for, in words; empty where nothing does."""
    missing = []
    if document.shop.country not in COUNTRIES:
        missing.append("the shop’s country")
    if not (document.shop.registration or document.shop.vat_id):
        missing.append("the shop’s registration number, or its VAT number")
    if document.customer.country not in COUNTRIES:
        missing.append("the customer’s country")
    return missing or (_missing_of_vat(document) if document.shop.vat_id else [])


def _missing_of_vat(document: Document) -> list[str]:
    """What cannot be told of value added tax: a line has one rate, and a group's tax is its base times its rate."""
    if not document.lines:
        return ["which lines are credited: a sum has no rate of VAT"]
    if stopped := next((tax for tax in document.taxes if tax.cap is not None), None):
        return [f"a tax that is its base times its rate: {stopped.name} stops at a sum"]
    if on_another := next((tax for tax in document.taxes if tax.on), None):
        return [f"a tax that is its base times its rate: {on_another.name} is due on another tax as well"]
    taxes = {tax.key: tax for tax in document.taxes}
    counts = {len(line.taxes) for line in document.lines}
    if counts - {1}:
        return ["one rate of VAT for each line"]
    for category, tax, base in _groups(document, taxes):
        if category.code == STANDARD and tax != rounded(base * (category.percent or NOTHING) / HUNDRED):
            return ["a tax that is its base times its rate: several taxes of one rate were rounded apart"]
    return []


def structured(document: Document) -> bytes:
    """The document as XML, checked against the schema.

    Raises:
        ValueError: something that the standard requires is missing, or the schema refuses it.
    """
    from drafthorse.models.document import Document as Invoice

    if what_is_missing(document):
        raise ValueError(f"{document.number} lacks what EN 16931 requires")
    made = Invoice()
    made.context.guideline_parameter.id = GUIDELINE
    made.header.id = document.number
    made.header.type_code = CREDIT_CODE if document.kind == CREDIT else INVOICE_CODE
    made.header.issue_date_time = document.issued_on
    _fill_parties(made.trade.agreement, document)
    taxes = {tax.key: tax for tax in document.taxes}
    for line in _lines(document):
        made.trade.items.add(_item(line, _category(document, line, taxes), len(made.trade.items.children) + 1))
    _fill_settlement(made.trade.settlement, document, taxes)
    try:
        xml: bytes = made.serialize(schema=SCHEMA)
    except Exception as problem:
        raise ValueError(f"{document.number} is refused by the schema: {problem}") from problem
    return xml


def _lines(document: Document) -> Sequence[Line]:
    """The lines; of a sum that is credited, one for each kind of charge, and one over nothing where there is none."""
    if document.lines:
        return document.lines
    words = f"Credit on invoice {document.credits}"
    credited = [(f"{words}: {one.kind}", one.net) for one in document.kinds] or [(words, NOTHING)]
    return [
        Line(
            charge=0, concern=0, kind="", description=description, quantity=Decimal(1).copy_sign(net),
            unit_price=abs(net), amount=net,
            discount=NOTHING, share=NOTHING, net=net,
        )
        for description, net in credited
    ]  # fmt: skip


def _category(document: Document, line: Line, taxes: dict[str, TaxPart]) -> Category:
    if not document.shop.vat_id:
        return Category(OUTSIDE, None, NOT_VAT)
    tax = taxes[line.taxes[0]]
    if tax.certificate:
        return Category(EXEMPT, NOTHING, _why_exempt(document))
    return Category(STANDARD, tax.percent) if tax.percent else Category(ZERO, NOTHING)  # BR-S-5: above zero


def _why_exempt(document: Document) -> str:
    """All certificates together: there is one group of what is exempt, whatever it is exempt from (BR-E-1, BR-E-8)."""
    exempt = [one for one in document.taxes if one.certificate]
    return "; ".join(f"{one.name}: exempt, certificate {one.certificate}" for one in exempt)


def _groups(document: Document, taxes: dict[str, TaxPart]) -> list[tuple[Category, Decimal, Decimal]]:
    """The breakdown of VAT: each category with its tax and its base."""
    bases: dict[Category, Decimal] = {}
    dues: dict[Category, dict[str, Decimal]] = {}
    for line in _lines(document):
        category = _category(document, line, taxes)
        bases[category] = bases.get(category, NOTHING) + line.net
        if category.code == STANDARD:
            tax = taxes[line.taxes[0]]
            dues.setdefault(category, {})[tax.key] = tax.due
    if not document.shop.vat_id:
        outside = Category(OUTSIDE, None, NOT_VAT)
        return [(outside, NOTHING, bases.get(outside, NOTHING) + document.tax)]
    return [(one, sum(dues.get(one, {}).values(), NOTHING), base) for one, base in bases.items()]


def _fill_parties(agreement: Any, document: Document) -> None:
    from drafthorse.models.party import TaxRegistration

    is_vat = bool(document.shop.vat_id)
    for party, said in [(agreement.seller, document.shop), (agreement.buyer, document.customer)]:
        party.name = _text(said.name)
        lines = [_text(line) for line in said.address.splitlines() if line.strip()]
        if len(lines) > ADDRESS_LINES:
            lines = [*lines[: ADDRESS_LINES - 1], ", ".join(lines[ADDRESS_LINES - 1 :])]
        for name, line in zip(("line_one", "line_two", "line_three"), lines, strict=False):
            setattr(party.address, name, line)
        party.address.country_id = said.country
        if said.registration:
            party.legal_organization.id = said.registration
        if is_vat and said.vat_id:  # BR-O-2: outside the scope of VAT nobody's VAT number may stand there
            party.tax_registrations.add(TaxRegistration(id=("VA", said.vat_id)))


def _item(line: Line, category: Category, number: int) -> Any:
    from drafthorse.models.tradelines import LineItem

    item = LineItem()
    item.document.line_id = str(number)
    item.product.name = _text(line.description)
    item.agreement.net.amount = line.unit_price
    item.delivery.billed_quantity = (line.quantity, HOUR if line.kind == LABOR else ONE)
    tax = item.settlement.trade_tax
    tax.type_code, tax.category_code = "VAT", category.code
    if category.percent is not None:
        tax.rate_applicable_percent = category.percent
    if line.discount:
        item.settlement.allowance_charge.add(_allowance(line.discount, "Discount", None, is_charge=False))
    item.settlement.monetary_summation.total_amount = _money(line.price)
    return item


def _allowance(amount: Decimal, reason: str, category: Category | None, *, is_charge: bool) -> Any:
    from drafthorse.models.accounting import CategoryTradeTax, TradeAllowanceCharge

    made = TradeAllowanceCharge()
    made.indicator = is_charge
    made.actual_amount = _money(amount)
    made.reason = _text(reason)
    if category is not None:
        tax = CategoryTradeTax()
        tax.type_code, tax.category_code = "VAT", category.code
        if category.percent is not None:
            tax.rate_applicable_percent = category.percent
        made.trade_tax.add(tax)
    return made


def _fill_settlement(settlement: Any, document: Document, taxes: dict[str, TaxPart]) -> None:
    from drafthorse.models.accounting import ApplicableTradeTax
    from drafthorse.models.payment import PaymentTerms

    is_vat = bool(document.shop.vat_id)
    settlement.currency_code = document.currency
    for category, tax, base in _groups(document, taxes):
        one = ApplicableTradeTax()
        one.calculated_amount, one.type_code, one.basis_amount = _money(tax), "VAT", _money(base)
        one.category_code = category.code
        if category.reason:
            one.exemption_reason = _text(category.reason)
        if category.code == OUTSIDE:
            one.exemption_reason_code = NOT_VAT_CODE
        if category.percent is not None:
            one.rate_applicable_percent = category.percent
        settlement.trade_tax.add(one)
    allowances = _shares(document, taxes)
    for category, share in allowances:
        settlement.allowance_charge.add(_allowance(share, "Discount", category, is_charge=False))
    charges = [] if is_vat else [tax for tax in document.taxes if tax.due]
    for sales_tax in charges:
        about = f" ({sales_tax.about})" if sales_tax.about else ""
        reason = f"{sales_tax.name}{about}, {plain_decimal(sales_tax.percent)} %"
        outside = Category(OUTSIDE, None)
        is_owed = sales_tax.due > 0  # below zero it is an allowance: what stands there has no sign
        settlement.allowance_charge.add(_allowance(abs(sales_tax.due), reason, outside, is_charge=is_owed))
    terms = PaymentTerms()
    terms.description = _terms(document)
    if document.due_on is not None:
        terms.due = document.due_on
    settlement.terms.add(terms)
    charged = sum((one.due for one in charges if one.due > 0), NOTHING)
    taken_off = sum((share for _, share in allowances), NOTHING)
    allowed = taken_off - sum((one.due for one in charges if one.due < 0), NOTHING)
    vat = NOTHING if not is_vat else document.tax
    prepaid = document.total - document.due if document.kind != CREDIT else NOTHING
    sums = settlement.monetary_summation
    sums.line_total = _money(document.net + taken_off)
    sums.charge_total, sums.allowance_total = _money(charged), _money(allowed)
    sums.tax_basis_total = (_money(document.net + taken_off + charged - allowed), None)
    sums.tax_total = (_money(vat), document.currency)
    sums.grand_total = (_money(document.total), None)
    sums.prepaid_total, sums.due_amount = _money(prepaid), _money(document.total - prepaid)
    if document.credits:
        settlement.invoice_referenced_document.issuer_assigned_id = document.credits


def _shares(document: Document, taxes: dict[str, TaxPart]) -> list[tuple[Category, Decimal]]:
    """The discount of the whole, by category."""
    shares: dict[Category, Decimal] = {}
    for line in document.lines:
        if line.share:
            category = _category(document, line, taxes)
            shares[category] = shares.get(category, NOTHING) + line.share
    return list(shares.items())


def _terms(document: Document) -> str:
    if document.kind == CREDIT:
        return f"Credited against invoice {document.credits}"
    return f"Due {_day(document.due_on)}" if document.due_on else "Due when received"


def _day(day: date | None) -> str:
    return "" if day is None else day.isoformat()


def _money(value: Decimal) -> Decimal:
    return value.quantize(NOTHING)


def _text(text: str) -> str:
    """A text on one line, without the signs that XML has no place for."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
