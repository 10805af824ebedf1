"""Pictures that a document carries within itself."""

from __future__ import annotations

import base64


def png_address(png: bytes | None) -> str:
    """A PNG as the address of an image: a data address, as nothing is fetched for a document; empty without one."""
    return f"data:image/png;base64,{base64.b64encode(png).decode()}" if png else ""
