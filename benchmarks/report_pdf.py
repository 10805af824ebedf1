"""A signed report against WeasyPrint alone on the same HTML: how much archive, tags, data and signature cost.

``python -m benchmarks.report_pdf`` prints the ratio; it needs no database.
"""

from __future__ import annotations

import os
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence


def draw_plainly(html: str, size: str) -> bytes:
    """The same HTML by WeasyPrint alone, with its defaults: no tags, no archive, no attachment, no signature."""
    from django.conf import settings
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    from findings.reports.render import PAGE_SIZES, STYLES

    fonts = FontConfiguration()
    styles = [CSS(filename=settings.BASE_DIR / "static" / name, font_config=fonts) for name in STYLES]
    page = CSS(string=f"@page {{ size: {PAGE_SIZES[size]} }}")
    data: bytes = HTML(string=html).write_pdf(stylesheets=[*styles, page], font_config=fonts)
    return data


def _medians(works: Sequence[Callable[[], object]], rounds: int) -> list[float]:
    """Median seconds of each, in turns, so that a busy moment of the machine falls on all of them."""
    times: list[list[float]] = [[] for _ in works]
    for number in range(rounds + 1):
        for kept, work in zip(times, works, strict=True):
            start = time.perf_counter()
            work()
            if number:  # the first round only warms up
                kept.append(time.perf_counter() - start)
    return [statistics.median(kept) for kept in times]


def ratio(rounds: int = 7) -> tuple[float, float, int]:
    """Median seconds of a signed report and of WeasyPrint alone, and the pages of that report."""
    from django.test import override_settings

    from findings.reports import render, signing
    from tests.reports import sample

    record, stationery = sample.record(), render.Stationery("letter")
    html = render.paper_html(record, stationery)
    with tempfile.TemporaryDirectory() as folder:
        from pathlib import Path

        with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="", VAR=Path(folder)):
            certificate = signing.make_certificate("Marlin Creek Marine")

    def signed() -> render.Drawn:
        drawn = render.draw_pdf(record, stationery)
        signing.sign(drawn.data, certificate, name="Orla Brandt", reason="Benchmark", location="", contact="")
        return drawn

    pages = signed().pages
    with_all, alone = _medians([signed, lambda: draw_plainly(html, "letter")], rounds)
    return with_all, alone, pages


def main() -> None:
    """Print the figures as one line."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    os.environ.setdefault("DATABASE_URL", "postgresql://nobody@nowhere.invalid/none")
    import django

    django.setup()
    signed, alone, pages = ratio()
    print(f"signed report, {pages} pages: {signed:.2f} s; WeasyPrint alone: {alone:.2f} s; ratio {signed / alone:.2f}")


if __name__ == "__main__":
    main()
