"""The QR code of a report as a vector picture."""

from __future__ import annotations

import io

import segno


def qr_svg(address: str, *, title: str) -> str:
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
    return out.getvalue().decode()
