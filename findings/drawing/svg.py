"""Writing SVG: elements, escaped; paints that hold on paper and give way to the reader's colors on screen."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from typing import TypeAlias, TypedDict, Unpack

from findings.drawing.lettering import MONO_FONT, TEXT_FONT
from findings.drawing.pictures import Palette

CLASS_BY_PAINT = {
    "ink": "ink",
    "soft_ink": "soft",
    "surface": "surface",
    "rule": "rule",
    "action": "action",
    "signal": "signal",
    "second_signal": "second",
    "kept": "kept",
    "on_signal": "on-signal",
    "on_second_signal": "on-second",
}

Value: TypeAlias = str | float


class Paint(TypedDict, total=False):
    """How a shape is filled and stroked; colors are named by what they mean."""

    fill: str
    stroke: str
    thick: float
    dash: str


def number(value: float) -> str:
    """A coordinate, to a tenth of a unit."""
    text = f"{value:.1f}"
    return text[:-2] if text[-2:] == ".0" else text


def element(name: str, attributes: Mapping[str, Value], *children: str, painted: str = "") -> str:
    """One element; attribute values are escaped, children are markup already, and so is how it is painted."""
    pairs = "".join(
        [f' {key}="{escape(value) if isinstance(value, str) else number(value)}"' for key, value in attributes.items()]
    )
    if not children:
        return f"<{name}{pairs}{painted}/>"
    return f"<{name}{pairs}{painted}>{''.join(children)}</{name}>"


@lru_cache(maxsize=500)
def _painted(palette: Palette, fill: str, stroke: str, thick: float, dash: str) -> str:
    """The attributes for a filled or stroked shape: a picture has many shapes, and few ways to paint them."""
    classes = [f"d-{CLASS_BY_PAINT[fill]}"] if fill else []
    if stroke:
        classes.append(f"d-line-{CLASS_BY_PAINT[stroke]}")
    made = f' class="{" ".join(classes)}"' if classes else ""
    made += f' fill="{getattr(palette, fill) if fill else "none"}"'
    if stroke:
        made += f' stroke="{getattr(palette, stroke)}" stroke-width="{number(thick)}"'
    return f'{made} stroke-dasharray="{dash}"' if dash else made


def identifier(*parts: str) -> str:
    """An id of letters, digits and hyphens."""
    return "-".join(re.sub(r"[^A-Za-z0-9]+", "-", part).strip("-") or "x" for part in parts)


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws with one palette. Colors are named by what they mean, never by their value."""

    palette: Palette

    def paint(self, **paint: Unpack[Paint]) -> str:
        """The attributes for a filled or stroked shape, as markup."""
        return _painted(
            self.palette,
            paint.get("fill", ""),
            paint.get("stroke", ""),
            paint.get("thick", 1),
            paint.get("dash", ""),
        )

    def box(self, x: float, y: float, width: float, height: float, **paint: Unpack[Paint]) -> str:
        """A rectangle."""
        place = f'x="{number(x)}" y="{number(y)}" width="{number(max(width, 0))}" height="{number(height)}"'
        return f"<rect {place}{self.paint(**paint)}/>"

    def line(self, x1: float, y1: float, x2: float, y2: float, **paint: Unpack[Paint]) -> str:
        """A straight line."""
        place = f'x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"'
        return f"<line {place}{self.paint(**paint)}/>"

    def path(self, way: str, **paint: Unpack[Paint]) -> str:
        """A path with rounded joints."""
        ends = ' stroke-linejoin="round"' if paint.get("stroke") else ""
        return f'<path d="{escape(way)}"{ends}{self.paint(**paint)}/>'

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float,
        color: str = "ink",
        mono: bool = False,
        weight: int = 400,
        anchor: str = "start",
    ) -> str:
        """A line of text; `words` is escaped."""
        place = f'x="{number(x)}" y="{number(y)}" font-family="{MONO_FONT if mono else TEXT_FONT}"'
        type_ = f'font-size="{number(size)}" font-weight="{weight}" text-anchor="{anchor}"'
        return f"<text {place} {type_}{self.paint(fill=color)}>{escape(words)}</text>"


def picture(name: str, key: str, size: tuple[float, float], css_class: str, *children: str) -> str:
    """The whole picture: an image with a name for those who hear it.

    With a key the name is a title element, whose id the key makes its own; without one it is a label.
    """
    width, height = size
    attributes: dict[str, Value] = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {number(width)} {number(height)}",
        "width": width,
        "height": height,
        "class": css_class,
        "role": "img",
    }
    if not key:
        return element("svg", {**attributes, "aria-label": name}, *children)
    title_id = identifier(key, "title")
    title = element("title", {"id": title_id}, escape(name) or "-")
    return element("svg", {**attributes, "aria-labelledby": title_id}, title, *children)
