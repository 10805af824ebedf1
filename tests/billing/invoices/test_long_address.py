"""A customer's address of many lines is drawn whole, and the paper does not take half a minute for it."""

from __future__ import annotations

import io
import time
from dataclasses import replace

from pypdf import PdfReader

from billing.invoices.paper import draw_document
from files.paper.drawing import Stationery
from tests.published.test_structured_invoice import DOCUMENTS


def test_an_address_of_many_lines_is_drawn_whole_and_soon() -> None:
    document = next(iter(DOCUMENTS.values()))
    lines = [f"Berth{number}" for number in range(1, 41)]
    customer = replace(document.customer, address="\n".join(lines))
    began = time.process_time()
    drawn = draw_document(replace(document, customer=customer), Stationery(size="letter", logo_png=None), record="{}")
    assert time.process_time() - began < 6  # under 1 s on a quiet core; the columns it had were evened out in 36
    words = "".join(page.extract_text() for page in PdfReader(io.BytesIO(drawn.data)).pages).split()
    assert [word for word in words if word.startswith("Berth")] == lines
