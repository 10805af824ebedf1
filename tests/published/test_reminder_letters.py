"""Letters about service due are PDF/A-3A and PDF/UA-1 at once, signed, and their address stands in the window.

Sources: ISO 19005-3 and ISO 14289-1 as veraPDF checks them (``test_pdf_archive``). The window: DIN 5008, form B, the
address zone from 62.7 to 90 mm below the upper edge and 20 to 105 mm from the left (from memory); the window of a US
No. 10 envelope, 4 1/2 by 1 1/8 in, 7/8 in from the left and 1/2 in from the lower edge, with a letter folded in three
that may slide by the 0.46 in that it is lower than the envelope (common practice, no source).
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path
from typing import Any

import pytest

from files.paper import signing
from files.paper.drawing import Stationery
from tests.published.vera import broken_rules
from workorders.upkeep.letters.drawing import draw_letter
from workorders.upkeep.letters.writing import as_text

MM, INCH = 72 / 25.4, 72.0


def service(name: str, stands: str = "Overdue", **more: Any) -> dict[str, Any]:
    why = ["By the calendar it was due on Oct 2, 2026.", "By hours 40 h were left to 500 h on Nov 3, 2026."]
    return {"service": name, "engine": "Port · Norrland D6T-370", "how_often": "every 100 h or 12 months",
            "stands": stands, "day": "Oct 2, 2026", "last": "last done Oct 2, 2025 at 400 h, as we were told",
            "why": why, **more}  # fmt: skip


def letter(services: int = 2, **more: Any) -> dict[str, Any]:
    boat = {
        "vessel": 1, "name": "Second Wind", "services": [service(f"Service {n}") for n in range(services)],
        "not_known": [service("Impeller", "Not known", day="")],
        "besides": [{"title": "Put off", "sentences": ["Zincs, Oct 2, 2026."]}],
    }  # fmt: skip
    return {
        "format": "reminder letter 1", "on": "2026-11-28", "on_words": "Nov 28, 2026", "until": "", "until_words": "",
        "time_zone": "America/New_York",
        "shop": {"name": "Marlin Creek Marine", "address": "4 Boatyard Lane\nPort Alden, ME 04999",
                 "phone": "(555) 555-0100", "email": "desk@marlin.example"},
        "customer": {"name": "Harrow Charters", "contact": "Wes Harrow", "address": "12 Quay Street\nPort Alden, ME"},
        "boats": [boat, {**boat, "name": "Tender", "besides": []}], **more,
    }  # fmt: skip


LETTERS = {"short": (letter(), "letter"), "long": (letter(40), "a4")}


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    from django.test import override_settings

    folder, made = tmp_path_factory.mktemp("letters"), {}
    with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="of-the-test", VAR=folder):
        certificate = signing.make_certificate("Marlin Creek Marine")
        for name, (record, size) in LETTERS.items():
            drawn = draw_letter(record, Stationery(size), data=as_text(record).encode(), is_signed=True)
            done = signing.sign(
                drawn.data, certificate, name="Marlin Creek Marine", reason="Letter", location="", contact=""
            )
            made[name] = folder / f"{name}.pdf"
            made[name].write_bytes(done.data)
    return made


def test_vera_finds_nothing(signed: dict[str, Path]) -> None:
    assert broken_rules(*signed.values()) == {str(path): {"3a": [], "ua1": []} for path in signed.values()}


@pytest.mark.parametrize("name", LETTERS)
def test_the_address_stands_in_the_window(signed: dict[str, Path], name: str) -> None:
    boxes = subprocess.run(
        ["pdftotext", "-bbox", "-l", "1", str(signed[name]), "-"], capture_output=True, text=True, check=True
    ).stdout
    words = [
        (float(left), float(top), float(right), float(bottom), word)
        for left, top, right, bottom, word in re.findall(
            r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>', boxes
        )
    ]
    in_german = [word for left, top, right, bottom, word in words
                 if left >= 20 * MM and right <= 105 * MM and top >= 62.7 * MM and bottom <= 90 * MM]  # fmt: skip
    in_american = [word for left, top, right, bottom, word in words
                   if left >= 0.875 * INCH and right <= 5.375 * INCH
                   and top >= 2.5 * INCH - 1 and bottom <= 3.17 * INCH + 1]  # fmt: skip
    address = ["Harrow", "Charters", "Wes", "Harrow", "12", "Quay", "Street", "Port", "Alden,", "ME"]
    assert in_german == address
    assert in_american == address
