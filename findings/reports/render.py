"""Drawing a record on paper: HTML by our templates, PDF by WeasyPrint, at once PDF/A-3A and PDF/UA-1."""

from __future__ import annotations

import io
import threading
import zoneinfo
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone
from PIL import Image, UnidentifiedImageError
from weasyprint import CSS, HTML, Attachment
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher

from commands.refusals import Refused
from findings.reports.paper import paper_of
from findings.reports.pdf_parts import add_signature_field, give_color_profile, say_it_is_accessible
from findings.reports.record import Record, to_json
from staff.models import ShopProfile

RECORD_NAME = "record.json"
SIGNATURE_BOX = "signature"
LOGO_PIXELS = (1200, 480)
STYLES = ("css/paper-fonts.css", "css/findings/report.css")
PAGE_SIZES = {"letter": "letter", "a4": "A4"}


class RenderingFailed(Refused):
    """The report could not be drawn; the sentence says why."""


@dataclass(frozen=True)
class Stationery:
    """The paper that the shop prints on."""

    size: str
    logo_png: bytes | None = None

    @classmethod
    def for_looking(cls, shop: ShopProfile) -> tuple[Stationery, str]:
        """The shop's paper for a preview, without its logo where something is wrong with that; and what it is."""
        try:
            return cls.of_shop(shop), ""
        except RenderingFailed as problem:
            return cls(size=shop.paper), problem.sentence

    @classmethod
    def of_shop(cls, shop: ShopProfile) -> Stationery:
        """The shop's paper size and its logo, made harmless: RGB, of a size that fits the letterhead."""
        return cls(size=shop.paper, logo_png=_logo(shop))


@dataclass(frozen=True)
class Drawn:
    """A finished PDF and how many pages it has."""

    data: bytes
    pages: int


def _logo(shop: ShopProfile) -> bytes | None:
    if not shop.logo:
        return None
    try:
        with shop.logo.open("rb") as file, Image.open(file) as picture:
            picture.thumbnail(LOGO_PIXELS)
            out = io.BytesIO()
            picture.convert("RGBA").save(out, "PNG")
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError, Image.DecompressionBombError) as problem:
        raise RenderingFailed(
            "The letterhead's logo is missing or cannot be read. Upload it again in the shop profile, or remove it."
        ) from problem
    return out.getvalue()


def paper_html(record: Record, stationery: Stationery) -> str:
    """The whole document as HTML: what both the PDF and the preview show."""
    with timezone.override(zoneinfo.ZoneInfo(record.findings.shop.time_zone)):
        return render_to_string(
            "findings/reports/paper/document.html", {"paper": paper_of(record, logo_png=stationery.logo_png)}
        )


def draw_pdf(record: Record, stationery: Stationery, *, data: bytes | None = None) -> Drawn:
    """The record as a PDF, ready to be signed when it is issued; a draft is marked as such on every page.

    ``data`` is the record's JSON as it was frozen, which is attached as it is.
    """
    issue = record.issue
    finish: Callable[[Any, Any], None] | None = None
    if issue:
        finish = partial(
            add_signature_field,
            anchor=SIGNATURE_BOX,
            title=f"Signature of {issue.signer.name} on report {issue.number}",
        )
    document = _layout(paper_html(record, stationery), stationery.size)
    say_it_is_accessible(document)
    record_file = Attachment(
        file_obj=io.BytesIO(data or to_json(record)),
        name=RECORD_NAME,
        description="The same report as data",
        relationship="Data",
    )
    written = document.write_pdf(
        finisher=finish,
        pdf_variant="pdf/a-3a",
        pdf_tags=True,
        output_intent=give_color_profile(document),
        attachments=[record_file] if issue else [],
    )
    return Drawn(written, len(document.pages))


def _fetcher(*protocols: str) -> URLFetcher:
    """What may be fetched for a document: never anything from the network."""
    return URLFetcher(allowed_protocols=protocols)


class _Desk(threading.local):
    """Fonts and styles, read once by each thread: a font map belongs to its thread."""

    def __init__(self) -> None:
        self.fonts = FontConfiguration()
        self.styles = [
            CSS(
                filename=settings.BASE_DIR / "static" / name,
                font_config=self.fonts,
                url_fetcher=_fetcher("file", "data"),
            )
            for name in STYLES
        ]


_desk = _Desk()


def _layout(html: str, size: str) -> Any:
    page = CSS(string=f"@page {{ size: {PAGE_SIZES[size]} }}")
    # The styles are files of ours; the words of a report are not, and have their logo within themselves.
    return HTML(string=html, url_fetcher=_fetcher("data")).render(
        stylesheets=[*_desk.styles, page], font_config=_desk.fonts
    )
