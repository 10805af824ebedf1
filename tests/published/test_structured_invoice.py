"""Invoices as structured data, checked against EN 16931.

Sources: the schema Factur-X 1.0.07 EN16931 (in the library drafthorse, which checks each document as it is made); the
rules BR-... of EN 16931-1:2017, section 6.4, each named beside its check (from memory of their published wording);
UNTDID 1001 and 5305, UN/ECE Recommendation 20 for codes. The Schematron of the standard is run by ``test_schematron``.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from lxml import etree

from billing.invoices.record import Document, Party
from billing.invoices.structured import structured, what_is_missing
from tests.billing.invoices.papers import CHARGES, CUSTOMER, SHOP, credit, credit_of_nothing, invoice, of_vat
from workorders.reckoning import CapPer, ChargeKind, Discount, Tax, rounded

NAMES = {"ram": "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100"}
LABOR, PART = ChargeKind.LABOR, ChargeKind.PART
WHOLE = invoice()
TWO_RATES = {
    "taxes": (
        Tax("1", "VAT", Decimal(19), frozenset({LABOR, ChargeKind.FEE})),
        Tax("2", "Reduced VAT", Decimal(7), frozenset({PART})),
    ),
    "discount": Discount(amount=Decimal("17.77")),
    "off": {0: Discount(percent=Decimal("12.5")), 1: Discount(amount=Decimal("0.01"))},
}
ZERO_RATE = (
    Tax("1", "VAT", Decimal(19), frozenset({LABOR, ChargeKind.FEE})),
    Tax("2", "VAT", Decimal(0), frozenset({PART})),
)
GOODWILL = invoice([(1, LABOR, "Warranty", "1", "0")], deposit="0")

DOCUMENTS: dict[str, Document] = {
    "sales taxes": WHOLE,
    "no tax, no deposit": invoice(taxes=(), deposit="0"),
    "nothing to pay": invoice([(0, LABOR, "Warranty", "1", "0")], deposit="0"),
    "exempt by certificate": invoice(certificates={"1": "R-77"}),
    "a discount of the whole": invoice(discount=Discount(amount=Decimal("50.01"))),
    "thirds of a cent": invoice([(0, PART, "Clamp", "3", "0.07"), (0, PART, "Hose", "0.33", "10.01")], deposit="0"),
    "odd letters": invoice([(1, PART, "Ø 5 <b>&\x0bseal\n“new”", "1", "5")], deposit="0"),
    "VAT": of_vat(),
    "VAT, with a discount": of_vat(discount=Discount(percent=Decimal(3))),
    "a customer in Kosovo": replace(WHOLE, customer=replace(CUSTOMER, country="1A")),
    "VAT, exempt": of_vat(certificates={"1": "R-77"}),
    "all credited": credit(WHOLE),
    "lines credited": credit(WHOLE, charges={1}),
    "a sum credited": credit(WHOLE, amount="77.77"),
    "VAT, lines credited": credit(of_vat(), charges={0, 2}),
    "VAT, two rates, discounts of lines and of the whole": of_vat(**TWO_RATES),
    "VAT, two rates, one of them exempt": of_vat(**TWO_RATES, certificates={"2": "R-77"}),
    "VAT, two rates, both exempt by one certificate": of_vat(**TWO_RATES, certificates={"1": "R-77", "2": "R-77"}),
    "VAT, two rates, each exempt by its own": of_vat(**TWO_RATES, certificates={"1": "R-77", "2": "R-78"}),
    "VAT, two rates, all credited": credit(of_vat(**TWO_RATES)),
    "VAT, two rates, a line of each credited": credit(of_vat(**TWO_RATES), charges={0, 1}),
    "VAT, one rate of nothing": of_vat(taxes=ZERO_RATE),
    "VAT, a line for nothing": of_vat(
        charges=[(0, LABOR, "Warranty", "1", "0"), (0, PART, "Clamp", "0.001", "0.5")], deposit="0"
    ),
    "VAT, all of it a discount": of_vat(discount=Discount(percent=Decimal(100)), deposit="0"),
    "sales taxes, discounts of lines and of the whole": invoice(
        off={0: Discount(percent=Decimal(100))}, discount=Discount(percent=Decimal("33.3"))
    ),
    "as much as goes": invoice([(0, PART, "Refit", "1", "9999999.99")], deposit="9999999.99"),
    "a sales tax that stops at a sum, and one on another": invoice(
        taxes=(
            Tax("1", "State", Decimal(6), cap=Decimal(100), cap_per=CapPer.LINE),
            Tax("2", "County", Decimal("1.5"), frozenset({PART}), on="1"),
        ),
    ),
    "a core given back": invoice([*CHARGES, (1, PART, "Core returned", "-1", "60")], deposit="0"),
    "a core given back, and tax with it": invoice(
        [(1, LABOR, "Labor", "2", "120"), (1, PART, "Core returned", "-1", "60")], deposit="0"
    ),
    "a core given back, credited as a sum and then whole": credit(
        invoice([(1, LABOR, "Labor", "2", "120"), (1, PART, "Core returned", "-1", "60")], deposit="0"), amount="10"
    ),
    "VAT, a core given back": of_vat(charges=[*CHARGES, (1, PART, "Core returned", "-1", "60")], deposit="0"),
    "nothing credited": credit(GOODWILL),
    "nothing credited after all of it was as a sum": credit_of_nothing(WHOLE),
}


def read(document: Document) -> etree._Element:
    return etree.fromstring(structured(document))


def sums(tree: etree._Element, *names: str) -> list[Decimal]:
    found = []
    for name in names:
        texts = tree.xpath(f"//ram:SpecifiedTradeSettlementHeaderMonetarySummation/ram:{name}/text()", namespaces=NAMES)
        found.append(Decimal(texts[0]) if texts else Decimal(0))
    return found


def all_of(tree: etree._Element, path: str) -> list[Decimal]:
    return [Decimal(text) for text in tree.xpath(f"{path}/text()", namespaces=NAMES)]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_sums_are_those_that_the_standard_asks_for(name: str) -> None:
    document = DOCUMENTS[name]
    tree = read(document)
    lines, charges, allowances, basis, tax, grand, prepaid, due = sums(
        tree, "LineTotalAmount", "ChargeTotalAmount", "AllowanceTotalAmount", "TaxBasisTotalAmount", "TaxTotalAmount",
        "GrandTotalAmount", "TotalPrepaidAmount", "DuePayableAmount",
    )  # fmt: skip
    item = "//ram:IncludedSupplyChainTradeLineItem//ram:LineTotalAmount"
    assert sum(all_of(tree, item)) == lines  # BR-CO-10
    assert basis == lines - allowances + charges  # BR-CO-13
    assert grand == basis + tax  # BR-CO-15
    assert due == grand - prepaid  # BR-CO-16
    header = "//ram:ApplicableHeaderTradeSettlement"
    groups = tree.xpath(f"{header}/ram:ApplicableTradeTax", namespaces=NAMES)
    assert groups  # BR-CO-18
    assert sum(all_of(tree, f"{header}/ram:ApplicableTradeTax/ram:CalculatedAmount")) == tax  # BR-CO-14
    assert sum(all_of(tree, f"{header}/ram:ApplicableTradeTax/ram:BasisAmount")) == basis
    for group in groups:  # BR-CO-17, half up
        base, amount = (
            Decimal(group.findtext(f"ram:{one}", namespaces=NAMES)) for one in ("BasisAmount", "CalculatedAmount")
        )
        rate = Decimal(group.findtext("ram:RateApplicablePercent", "0", NAMES))
        assert amount == rounded(base * rate / 100)
    assert (grand, prepaid) == (document.total, sum((one.amount for one in document.deposits), Decimal(0)))


@pytest.mark.parametrize("name", [name for name in DOCUMENTS if not DOCUMENTS[name].shop.vat_id])
def test_outside_the_scope_of_vat_nothing_says_vat(name: str) -> None:
    """BR-O-1 to -14: one group, no rate, a reason, and nobody's VAT number; sales taxes are charges by name."""
    document = DOCUMENTS[name]
    tree = read(document)
    categories = tree.xpath("//ram:CategoryCode/text()", namespaces=NAMES)
    assert set(categories) == {"O"}
    assert tree.xpath("//ram:RateApplicablePercent", namespaces=NAMES) == []
    assert tree.xpath("//ram:SpecifiedTaxRegistration", namespaces=NAMES) == []
    assert tree.xpath("//ram:ExemptionReasonCode/text()", namespaces=NAMES) == ["VATEX-EU-O"]
    assert sums(tree, "TaxTotalAmount") == [0]
    taxes = "//ram:ApplicableHeaderTradeSettlement/ram:SpecifiedTradeAllowanceCharge[not(ram:Reason='Discount')]"
    charged, given_back = (
        sum(all_of(tree, f"{taxes}[ram:ChargeIndicator/*='{is_charge}']/ram:ActualAmount"))
        for is_charge in ("true", "false")
    )
    assert charged - given_back == document.tax
    assert all(one >= 0 for one in all_of(tree, "//ram:ActualAmount"))  # what is given back is an allowance


def test_what_a_reader_finds_in_it() -> None:
    tree = read(WHOLE)

    def said(path: str) -> list[str]:
        return [str(one) for one in tree.xpath(f"//{path}/text()", namespaces=NAMES)]

    assert said("ram:GuidelineSpecifiedDocumentContextParameter/ram:ID") == ["urn:cen.eu:en16931:2017"]  # BT-24
    assert said("ram:TypeCode")[0] == "380"  # BT-3: commercial invoice
    assert said("ram:SellerTradeParty/ram:Name") == ["Marlin Creek Marine"]
    assert said("ram:SellerTradeParty//ram:CountryID") == ["US"]  # BR-9
    assert said("ram:BuyerTradeParty//ram:CountryID") == ["US"]  # BR-11
    assert said("ram:SpecifiedLegalOrganization/ram:ID") == ["ME-4471"]  # BR-CO-26
    assert said("ram:InvoiceCurrencyCode") == ["USD"]
    assert tree.xpath("//ram:BilledQuantity/@unitCode", namespaces=NAMES) == ["HUR", "C62", "C62"]
    assert len(said("ram:SpecifiedTradePaymentTerms/ram:Description")) == 1  # BR-CO-25
    note = read(credit(WHOLE, amount="10"))
    codes = note.xpath("//ram:TypeCode/text()", namespaces=NAMES)
    assert codes[0] == "381"  # credit note
    assert note.xpath("//ram:InvoiceReferencedDocument/ram:IssuerAssignedID/text()", namespaces=NAMES) == ["INV-1001"]


MISSING = {
    "the shop’s country": invoice(shop=replace(SHOP, country="")),
    "the shop’s registration number, or its VAT number": invoice(shop=replace(SHOP, registration="")),
    "the customer’s country": invoice(customer=replace(CUSTOMER, country="")),
    "one rate of VAT for each line": of_vat(taxes=(Tax("1", "VAT", Decimal(19), frozenset({PART})),)),
    "which lines are credited: a sum has no rate of VAT": credit(of_vat(), amount="10"),
    "a tax that is its base times its rate: several taxes of one rate were rounded apart": of_vat(
        charges=[(0, PART, "Clamp", "1", "0.03"), (0, LABOR, "Look", "1", "0.03")],
        taxes=(Tax("1", "A", Decimal(20), frozenset({PART})), Tax("2", "B", Decimal(20), frozenset({LABOR}))),
        deposit="0",
    ),
    "a tax that is its base times its rate: VAT stops at a sum": of_vat(
        taxes=(Tax("1", "VAT", Decimal(19), cap=Decimal(100)),)
    ),
    "a tax that is its base times its rate: Levy is due on another tax as well": of_vat(
        taxes=(Tax("1", "VAT", Decimal(19)), Tax("2", "Levy", Decimal(1), frozenset({PART}), on="1"))
    ),
}


@pytest.mark.parametrize("words", MISSING)
def test_without_what_the_standard_requires_there_is_no_data_and_it_is_said(words: str) -> None:
    assert what_is_missing(MISSING[words]) == [words]
    with pytest.raises(ValueError, match="lacks"):
        structured(MISSING[words])


def test_nothing_known_is_all_told() -> None:
    assert len(what_is_missing(invoice(shop=Party(name="s"), customer=Party(name="c")))) == 3
