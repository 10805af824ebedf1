"""Drawing an invoice, a credit note or a statement on paper, from what was frozen."""

from __future__ import annotations

import zoneinfo
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone
from lxml import etree

from billing.invoices.models import MEANS
from billing.invoices.queries.lists import Statement
from billing.invoices.record import CREDIT, TABLES, Concern, DepositPart, Document, Line
from billing.invoices.structured import FILE_NAME, RELATIONSHIP, structured, what_is_missing
from files.paper import signing
from files.paper.drawing import AttachedFile, Drawn, Stationery, draw
from files.paper.pdf_parts import Metadata
from files.paper.pictures import png_address
from staff.models import ShopProfile
from workorders.reckoning import rounded

STYLES = ("css/billing/paper.css",)
NOTHING = Decimal(0)
FX = "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"
etree.register_namespace("fx", FX)  # signing writes the metadata again, and would choose another prefix

# Factur-X 1.0, 6.2: what the file inside is called and to which profile it conforms, with the schema that describes it.
FACTUR_X = Metadata(
    b"""<rdf:Description rdf:about="" xmlns:fx="urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#">
<fx:DocumentType>INVOICE</fx:DocumentType><fx:DocumentFileName>factur-x.xml</fx:DocumentFileName>
<fx:Version>1.0</fx:Version><fx:ConformanceLevel>EN 16931</fx:ConformanceLevel></rdf:Description>
""",
    b"""<rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>Factur-X PDFA Extension Schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>fx</pdfaSchema:prefix><pdfaSchema:property><rdf:Seq>
"""
    + b"".join(
        b"""<rdf:li rdf:parseType="Resource"><pdfaProperty:name>%b</pdfaProperty:name>
<pdfaProperty:valueType>Text</pdfaProperty:valueType><pdfaProperty:category>external</pdfaProperty:category>
<pdfaProperty:description>%b</pdfaProperty:description></rdf:li>
"""
        % pair
        for pair in [
            (b"DocumentFileName", b"The name of the embedded XML document"),
            (b"DocumentType", b"The type of the hybrid document in capital letters, e.g. INVOICE or ORDER"),
            (b"Version", b"The actual version of the standard applying to the embedded XML document"),
            (b"ConformanceLevel", b"The conformance level of the embedded XML document"),
        ]
    )
    + b"""</rdf:Seq></pdfaSchema:property></rdf:li>
""",
)


@dataclass(frozen=True)
class Table:
    """Charges of one sort under one heading."""

    title: str
    lines: Sequence[Line]


@dataclass(frozen=True)
class Group:
    """What is charged for one concern, work, parts and fees apart; ``concern`` None is the job as a whole."""

    concern: Concern | None
    tables: Sequence[Table]


@dataclass(frozen=True)
class Paper:
    """What the template draws."""

    document: Document
    logo: str
    groups: Sequence[Group]

    @property
    def is_credit(self) -> bool:
        """Whether it is a credit note."""
        return self.document.kind == CREDIT

    @property
    def name(self) -> str:
        """What it is called."""
        return "Credit note" if self.is_credit else "Invoice"

    @property
    def sums(self) -> list[tuple[str, Decimal]]:
        """Work, parts and the like, before the discount of the whole."""
        words = {"labor": "Labor", "part": "Parts", "sublet": "Sublet work", "fee": "Fees"}
        sums: dict[str, Decimal] = {}
        for line in self.document.lines:
            sums[line.kind] = sums.get(line.kind, NOTHING) + line.price
        if not self.document.lines:
            sums = {one.kind: one.net for one in self.document.kinds}
        return [(label, sums[kind]) for kind, label in words.items() if kind in sums]

    @property
    def discount(self) -> Decimal:
        """The discount of the whole, or what of it the lines had that are credited."""
        return sum((line.share for line in self.document.lines), NOTHING) or self.document.discount

    @property
    def has_odd_cents(self) -> bool:
        """Whether a tax that is credited is another sum than its percentage of the base that is printed beside it."""
        document = self.document
        return self.is_credit and any(
            tax.base and tax.due and tax.due != rounded(tax.base * tax.percent / 100, document.currency)
            for tax in document.taxes
        )

    @property
    def deposits(self) -> list[tuple[DepositPart, str]]:
        """What was deposited, with how."""
        means = dict(MEANS)
        return [(one, means.get(one.means, one.means).lower()) for one in self.document.deposits]


def paper_of(document: Document, *, logo_png: bytes | None = None) -> Paper:
    """A document as it is drawn."""
    known: list[Concern | None] = [*document.concerns, None]
    groups = []
    for concern in known:
        position = concern.position if concern else 0
        tables = [Table(title, lines) for title, kinds in TABLES if (lines := document.lines_of(position, kinds))]
        if tables:
            groups.append(Group(concern, tables))
    logo = png_address(logo_png)
    return Paper(document, logo, groups)


def paper_html(document: Document, stationery: Stationery, *, is_signed: bool = True) -> str:
    """The whole document as HTML; with a place for a signature where it will be signed."""
    paper = paper_of(document, logo_png=stationery.logo_png)
    with timezone.override(zoneinfo.ZoneInfo(document.time_zone)):
        return render_to_string(
            "billing/paper/invoice.html", {"paper": paper, "document": document, "is_signed": is_signed}
        )


def draw_document(document: Document, stationery: Stationery, *, record: str, is_signed: bool = True) -> Drawn:
    """An invoice or a credit note as PDF, with the same as structured data inside where nothing is missing for that."""
    name = "credit note" if document.kind == CREDIT else "invoice"
    files = [AttachedFile("record.json", record.encode(), f"The same {name} as data")]
    metadata = Metadata()
    if not what_is_missing(document):
        said = f"The same {name} as structured data, EN 16931"
        files.append(AttachedFile(FILE_NAME, structured(document), said, RELATIONSHIP))
        metadata = FACTUR_X
    return draw(
        paper_html(document, stationery, is_signed=is_signed),
        size=stationery.size,
        styles=STYLES,
        signature_title=f"Signature of {document.shop.name} on {name} {document.number}" if is_signed else "",
        attachments=files,
        metadata=metadata,
    )


def draw_statement(
    statement: Statement, shop: ShopProfile, stationery: Stationery, *, is_signed: bool = False
) -> Drawn:
    """A customer's statement as PDF; with a place for a signature where it will be signed."""
    context = {
        "statement": statement,
        "shop": shop,
        "logo": png_address(stationery.logo_png),
        "is_signed": is_signed,
    }
    name = f"Signature of {shop.name} on the statement for {statement.customer}"
    return draw(
        render_to_string("billing/paper/statement.html", context),
        size=stationery.size,
        styles=STYLES,
        signature_title=name if is_signed else "",
    )


def signed_statement(statement: Statement, shop: ShopProfile, stationery: Stationery) -> bytes:
    """The same, signed; without a signature where the shop has no certificate. It is of its day, and not kept.

    Raises:
        Refused: it cannot be drawn or signed as things are.
    """
    return signing.signed_where_possible(
        lambda is_signed: draw_statement(statement, shop, stationery, is_signed=is_signed),
        shop=shop.name, contact=shop.email, reason=f"Statement of {statement.day.isoformat()}",
    ).data  # fmt: skip


def plain_statement(statement: Statement) -> dict[str, Any]:
    """Every text of a statement, to see whether all of it can be printed."""
    return {
        "customer": [statement.customer.name, statement.customer.address],
        "rows": [row.what for row in statement.rows],
        "vessels": [str(invoice.job.vessel) for invoice in statement.open],
    }
