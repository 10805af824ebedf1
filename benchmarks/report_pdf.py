"""A signed report against WeasyPrint alone on the same HTML: how much archive, tags, data and signature cost.

``python -m benchmarks.report_pdf`` prints the ratio; it needs no database. ``--json`` says it to a program.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass


@dataclass(frozen=True)
class Figures:
    """Median seconds, wall and processor, of both; the report's pages, and the process's peak memory in megabytes."""

    signed: float
    alone: float
    signed_cpu: float
    alone_cpu: float
    pages: int
    peak: float

    @property
    def ratio(self) -> float:
        """Wall time of the signed report against WeasyPrint alone."""
        return self.signed / self.alone

    @property
    def ratio_cpu(self) -> float:
        """The same in the processor's time."""
        return self.signed_cpu / self.alone_cpu


def draw_plainly(html: str, size: str) -> bytes:
    """The same HTML by WeasyPrint alone, with its defaults: no tags, no archive, no attachment, no signature."""
    from django.conf import settings
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    from files.paper.drawing import FONTS, PAGE_SIZES, SHEET
    from findings.reports.render import STYLES

    fonts = FontConfiguration()
    styles = [CSS(filename=settings.BASE_DIR / "static" / name, font_config=fonts) for name in (FONTS, SHEET, *STYLES)]
    page = CSS(string=f"@page {{ size: {PAGE_SIZES[size]} }}")
    data: bytes = HTML(string=html).write_pdf(stylesheets=[*styles, page], font_config=fonts)
    return data


def _medians(works: Sequence[Callable[[], object]], rounds: int) -> list[tuple[float, float]]:
    """Median wall and processor seconds of each, in turns, so that a busy moment of the machine falls on all."""
    times: list[list[tuple[float, float]]] = [[] for _ in works]
    for number in range(rounds + 1):
        for kept, work in zip(times, works, strict=True):
            wall, processor = time.perf_counter(), time.process_time()
            work()
            if number:  # the first round only warms up
                kept.append((time.perf_counter() - wall, time.process_time() - processor))
    return [(statistics.median(w for w, _ in kept), statistics.median(p for _, p in kept)) for kept in times]


def measure(rounds: int = 31) -> Figures:
    """Medians of a signed report and of WeasyPrint alone."""
    from django.test import override_settings

    from files.paper import signing
    from files.paper.drawing import Drawn, Stationery
    from findings.reports import render
    from tests.findings.reports import sample

    record, stationery = sample.record(), Stationery("letter")
    html = render.paper_html(record, stationery)
    with tempfile.TemporaryDirectory() as folder:
        from pathlib import Path

        with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="", VAR=Path(folder)):
            certificate = signing.make_certificate("Marlin Creek Marine")

    def signed() -> Drawn:
        drawn = render.draw_pdf(record, stationery)
        signing.sign(drawn.data, certificate, name="Orla Brandt", reason="Benchmark", location="", contact="")
        return drawn

    pages = signed().pages
    with_all, alone = _medians([signed, lambda: draw_plainly(html, "letter")], rounds)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return Figures(with_all[0], alone[0], with_all[1], alone[1], pages, peak)


def main() -> None:
    """Print the figures as one line."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    os.environ.setdefault("DATABASE_URL", "postgresql://nobody@nowhere.invalid/none")
    import django

    django.setup()
    rounds = [int(word) for word in sys.argv[1:] if word.isdigit()] or [31]
    figures = measure(rounds[0])
    if "--json" in sys.argv:
        print(json.dumps(asdict(figures)))
        return
    print(
        f"signed report, {figures.pages} pages: {figures.signed:.2f} s; WeasyPrint alone: {figures.alone:.2f} s; "
        f"ratio {figures.ratio:.2f}"
    )


if __name__ == "__main__":
    main()
