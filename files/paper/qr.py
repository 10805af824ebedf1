"""The QR code of a report as a vector picture."""

from __future__ import annotations

import io

import segno
from django.utils.safestring import SafeString

from web.markup import picture_of_a_library


def qr_svg(address: str, *, title: str) -> SafeString:
    """An SVG of the address as a QR code, with a title for those who cannot see it; error correction M."""
    out = io.BytesIO()
    segno.make_qr(address, error="m").save(
        out,
        kind="svg",
        xmldecl=False,
        svgns=True,
        nl=False,
        border=0,
        omitsize=True,
        title=title,
        svgclass="paper-qr",
        lineclass=None,
        dark="#1c2530",
    )
    return picture_of_a_library(out.getvalue().decode())
