"""An invoice or a credit note on paper adds up as it is printed: its figures come to its total."""

from __future__ import annotations

from decimal import Decimal

import pytest
from lxml import html

from billing.invoices.paper import paper_html
from billing.invoices.record import Document
from files.paper.drawing import Stationery
from tests.published.test_structured_invoice import DOCUMENTS


def figure(text: str) -> Decimal:
    return Decimal(text.replace("$", "").replace(",", "").replace("\u2060", "").replace("−", "-"))


def printed(document: Document) -> list[tuple[str, Decimal]]:
    page = html.fromstring(paper_html(document, Stationery(size="letter", logo_png=None), is_signed=False))
    rows = page.xpath("//table[contains(@class, 'bp-sums')]//tr")
    return [(" ".join(row[0].text_content().split()), figure(row[1].text_content())) for row in rows]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_what_is_printed_adds_up(name: str) -> None:
    document = DOCUMENTS[name]
    rows = printed(document)
    labels = [label for label, _ in rows]
    net, total = labels.index("Before tax"), labels.index("Total")
    assert sum(sum_ for _, sum_ in rows[:net]) == rows[net][1] == document.net
    assert sum(sum_ for _, sum_ in rows[net:total]) == rows[total][1] == document.total
    if "To pay" in labels:
        assert sum(sum_ for _, sum_ in rows[total:-1]) == rows[-1][1] == document.due


@pytest.mark.parametrize("name", DOCUMENTS)
def test_each_table_comes_to_the_sums_of_its_name(name: str) -> None:
    """A fee stands under “Fees”, where its sum is, and labor and sublet work under “Work”."""
    document = DOCUMENTS[name]
    page = html.fromstring(paper_html(document, Stationery(size="letter", logo_png=None), is_signed=False))
    found: dict[str, Decimal] = {}
    for table in page.xpath("//table[contains(@class, 'bp-lines')]"):
        heading = table.xpath("string(preceding::h3[1])").strip()
        assert heading in {"Work", "Parts", "Fees"}
        for row in table.xpath("./tbody/tr"):
            amount = figure(row[-1].text_content())
            for one in row.xpath(".//p[contains(., 'less a discount')]"):
                whole, less = one.text_content().split(" less a discount of ")
                assert figure(whole) - figure(less) == amount
            found[heading] = found.get(heading, Decimal(0)) + amount
    sums = dict(printed(document))
    if document.lines:
        told = {
            "Work": sums.get("Labor", Decimal(0)) + sums.get("Sublet work", Decimal(0)),
            "Parts": sums.get("Parts", Decimal(0)), "Fees": sums.get("Fees", Decimal(0)),
        }  # fmt: skip
        assert found == {name: sum_ for name, sum_ in told.items() if name in found}
        assert sum(told.values()) == sum(found.values())
