"""Drawing a document on paper: HTML by our templates, PDF by WeasyPrint, at once PDF/A-3A and PDF/UA-1.

WeasyPrint is loaded when there is something to draw: where its libraries are missing, the program says so as it starts.
"""

from __future__ import annotations

import atexit
import io
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.conf import settings
from PIL import Image, UnidentifiedImageError

from commands.refusals import Refused
from files.paper.pdf_parts import (
    Metadata,
    add_signature_field,
    describe_in_metadata,
    give_color_profile,
    name_each_file_once,
)
from staff.models import ShopProfile

if TYPE_CHECKING:
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher

SIGNATURE_BOX = "signature"
"""The id of the element over which the signature's field is laid."""
LOGO_PIXELS = (1200, 480)
FONTS, SHEET = "css/paper-fonts.css", "css/paper.css"
PAGE_SIZES = {"letter": "letter", "a4": "A4"}
PLAIN = Metadata()


class RenderingFailed(Refused):
    """The document could not be drawn; the sentence says why."""


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
class AttachedFile:
    """A file inside the PDF. ``relationship`` is the AFRelationship of ISO 32000-2: "Data", "Alternative", "Source"."""

    name: str
    data: bytes
    description: str
    relationship: str = "Data"


@dataclass(frozen=True)
class Drawn:
    """A finished PDF and how many pages it has."""

    data: bytes
    pages: int


def draw(
    html: str,
    *,
    size: str,
    styles: Sequence[str] = (),
    signature_title: str = "",
    attachments: Sequence[AttachedFile] = (),
    metadata: Metadata = PLAIN,
) -> Drawn:
    """A document as PDF/A-3A and PDF/UA-1.

    ``html``: the whole document, which fetches nothing (a logo is a data address within it). ``size``: a key of
    ``PAGE_SIZES``. ``styles``: files under static/, on top of the paper's own. ``signature_title``: what the field for
    a signature is called, laid over the element with the id ``SIGNATURE_BOX``; empty where none is to be signed.
    ``metadata``: what else it says of itself in XMP.
    """

    def finish(drawn: Any, pdf: Any) -> None:
        name_each_file_once(pdf)
        if signature_title:
            add_signature_field(drawn, pdf, anchor=SIGNATURE_BOX, title=signature_title)

    from weasyprint import Attachment

    document = _layout(html, size, (FONTS, SHEET, *styles))
    describe_in_metadata(document, metadata)
    written = document.write_pdf(
        finisher=finish,
        pdf_variant="pdf/a-3a",
        pdf_tags=True,
        output_intent=give_color_profile(document),
        attachments=[
            Attachment(
                file_obj=io.BytesIO(one.data),
                name=one.name,
                description=one.description,
                relationship=one.relationship,
            )
            for one in attachments
        ],
    )
    return Drawn(written, len(document.pages))


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


def _fetcher(*protocols: str) -> URLFetcher:
    """What may be fetched for a document: never anything from the network."""
    from weasyprint.urls import URLFetcher

    return URLFetcher(allowed_protocols=protocols)


class _Desk(threading.local):
    """Fonts and styles, read once by each thread: a font map belongs to its thread."""

    def __init__(self) -> None:
        self._fonts: FontConfiguration | None = None
        self._styles: dict[str, CSS] = {}

    @property
    def fonts(self) -> FontConfiguration:
        """The fonts of this thread."""
        from weasyprint.text.fonts import FontConfiguration

        self._fonts = self._fonts or FontConfiguration()
        return self._fonts

    def forget(self) -> None:
        """Let go of this thread's fonts and styles."""
        self._styles.clear()
        self._fonts = None

    def style(self, name: str) -> CSS:
        """A style sheet of ours, with the fonts that it brings."""
        if name not in self._styles:
            from weasyprint import CSS

            self._styles[name] = CSS(
                filename=settings.BASE_DIR / "static" / name,
                font_config=self.fonts,
                url_fetcher=_fetcher("file", "data"),
            )
        return self._styles[name]


_desk = _Desk()
atexit.register(_desk.forget)  # the fonts' folder is removed while WeasyPrint still can


def _layout(html: str, size: str, styles: Sequence[str]) -> Any:
    from weasyprint import CSS, HTML

    page = CSS(string=f"@page {{ size: {PAGE_SIZES[size]} }}")
    # The styles are files of ours; the words of a document are not, and have their pictures within themselves.
    return HTML(string=html, url_fetcher=_fetcher("data")).render(
        stylesheets=[*(_desk.style(name) for name in styles), page], font_config=_desk.fonts
    )
