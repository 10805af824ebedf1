"""Invoices, credit notes and statements are PDF/A-3A and PDF/UA-1 at once, signed, with the structured invoice inside.

Sources: ISO 19005-3 and ISO 14289-1 as veraPDF checks them (see ``test_pdf_archive``); Factur-X 1.0, section 6.2: name
of the file inside, its relationship, and what the XMP says of it.
"""

from __future__ import annotations

import io
from datetime import date
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from pyhanko.pdf_utils.reader import PdfFileReader

from billing.documents.frozen import freeze
from billing.invoices.paper import draw_document, signed_statement
from billing.invoices.queries.lists import Statement, StatementRow
from billing.invoices.record import Document
from billing.invoices.structured import structured
from files.paper import signing
from files.paper.drawing import Stationery
from staff.models import ShopProfile
from tests.billing.invoices.papers import CHARGES, credit, invoice
from tests.published.vera import broken_rules
from vessels.models import Customer
from workorders.reckoning import ChargeKind

LONG = [*CHARGES, *[(0, ChargeKind.PART, f"Clamp {number}", "1", "2.50") for number in range(60)]]
PAPERS: dict[str, tuple[Document, str]] = {
    "invoice": (invoice(), "letter"),
    "long": (invoice(LONG, certificates={"1": "R-77"}), "a4"),
    "credit": (credit(invoice(), amount="77.77"), "letter"),
}


SHOP = ShopProfile(name="Marlin Creek Marine", address="12 Creek Road\nExampleton, ME 04000", phone="(555) 555-0100")


def statement() -> Statement:
    """Forty rows over two pages, an open invoice, held money, and something that was paid back and had not come in."""
    day = date(2026, 11, 28)
    rows = [
        StatementRow(day, f"Payment on invoice INV-{1000 + one}, check {one}", Decimal(-1), Decimal(100 - one))
        for one in range(40)
    ]
    job = SimpleNamespace(number=1032, vessel="Second Wind")
    is_open = SimpleNamespace(
        number="INV-1040", job=job, due_on=day, total=Decimal(80), open_sum=Decimal(61), currency="USD"
    )
    customer = Customer(name="Wes Harrow", address="3 Quay Street\nExampleton, ME 04000")
    return Statement(customer, "USD", day, rows, [is_open], held=Decimal(5), back=Decimal("4.99"))  # type: ignore[list-item]


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    from django.test import override_settings

    folder, made = tmp_path_factory.mktemp("papers"), {}
    with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="of-the-test", VAR=folder):
        certificate = signing.make_certificate("Marlin Creek Marine")
        for name, (document, size) in PAPERS.items():
            drawn = draw_document(document, Stationery(size), record=freeze(document).text)
            done = signing.sign(
                drawn.data, certificate, name="Marlin Creek Marine", reason="Invoice", location="", contact=""
            )
            made[name] = folder / f"{name}.pdf"
            made[name].write_bytes(done.data)
        made["statement"] = folder / "statement.pdf"
        made["statement"].write_bytes(signed_statement(statement(), SHOP, Stationery("letter")))
    return made


def test_vera_finds_nothing(signed: dict[str, Path]) -> None:
    assert broken_rules(*signed.values()) == {str(path): {"3a": [], "ua1": []} for path in signed.values()}


@pytest.mark.parametrize("name", ["invoice", "credit"])
def test_the_structured_invoice_is_inside_as_the_standard_demands(signed: dict[str, Path], name: str) -> None:
    reader = PdfFileReader(io.BytesIO(signed[name].read_bytes()))
    specs = [one.get_object() for one in reader.root["/AF"]]
    assert [str(spec["/UF"]) for spec in specs] == ["record.json", "factur-x.xml"], "each once"
    files: dict[str, Any] = {str(spec["/UF"]): spec for spec in specs}
    spec = files["factur-x.xml"]
    assert spec["/AFRelationship"] == "/Alternative"
    assert spec["/EF"]["/F"].get_object().data == structured(PAPERS[name][0])
    xmp = reader.root["/Metadata"].get_object().data.decode()
    for said in (
        'fx:DocumentType="INVOICE"',
        'fx:DocumentFileName="factur-x.xml"',
        'fx:Version="1.0"',
        'fx:ConformanceLevel="EN 16931"',
        'xmlns:fx="urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"',
    ):
        assert said in xmp


def test_without_the_standards_data_the_paper_says_nothing_of_it() -> None:
    from dataclasses import replace

    from tests.billing.invoices.papers import CUSTOMER

    bare = invoice(customer=replace(CUSTOMER, country=""))
    drawn = draw_document(bare, Stationery("letter"), record=freeze(bare).text, is_signed=False)
    reader = PdfFileReader(io.BytesIO(drawn.data))
    assert [str(one.get_object()["/UF"]) for one in reader.root["/AF"]] == ["record.json"]
    assert "factur-x" not in reader.root["/Metadata"].get_object().data.decode()
