"""Writing SVG: elements, escaped; paints that hold on paper and give way to the reader's colors on screen."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias, TypedDict, Unpack

from django.utils.safestring import SafeString

from findings.drawing.lettering import MONO_FONT, TEXT_FONT
from findings.drawing.pictures import Palette
from web.markup import NOTHING, attributes, filled, joined

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
_ROUND = filled(' stroke-linejoin="round"')


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


def element(name: str, pairs: Mapping[str, Value], *children: str, painted: SafeString = NOTHING) -> SafeString:
    """One element; attribute values are escaped, and so are children that are no markup."""
    drawn = attributes({key: value if isinstance(value, str) else number(value) for key, value in pairs.items()})
    if not children:
        return filled("<{}{}{}/>", name, drawn, painted)
    return filled("<{0}{1}{2}>{3}</{0}>", name, drawn, painted, joined(children))


@lru_cache(maxsize=500)
def _painted(palette: Palette, fill: str, stroke: str, thick: float, dash: str) -> SafeString:
    """The attributes for a filled or stroked shape: a picture has many shapes, and few ways to paint them."""
    classes = [f"d-{CLASS_BY_PAINT[fill]}"] if fill else []
    if stroke:
        classes.append(f"d-line-{CLASS_BY_PAINT[stroke]}")
    pairs = {"class": " ".join(classes)} if classes else {}
    pairs["fill"] = getattr(palette, fill) if fill else "none"
    if stroke:
        pairs |= {"stroke": getattr(palette, stroke), "stroke-width": number(thick)}
    return attributes(pairs | {"stroke-dasharray": dash} if dash else pairs)


def identifier(*parts: str) -> str:
    """An id of letters, digits and hyphens."""
    return "-".join(re.sub(r"[^A-Za-z0-9]+", "-", part).strip("-") or "x" for part in parts)


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws with one palette. Colors are named by what they mean, never by their value."""

    palette: Palette

    def paint(self, **paint: Unpack[Paint]) -> SafeString:
        """The attributes for a filled or stroked shape, as markup."""
        return _painted(
            self.palette,
            paint.get("fill", ""),
            paint.get("stroke", ""),
            paint.get("thick", 1),
            paint.get("dash", ""),
        )

    def box(self, x: float, y: float, width: float, height: float, **paint: Unpack[Paint]) -> SafeString:
        """A rectangle."""
        place = number(x), number(y), number(max(width, 0)), number(height)
        return filled('<rect x="{}" y="{}" width="{}" height="{}"{}/>', *place, self.paint(**paint))

    def line(self, x1: float, y1: float, x2: float, y2: float, **paint: Unpack[Paint]) -> SafeString:
        """A straight line."""
        place = number(x1), number(y1), number(x2), number(y2)
        return filled('<line x1="{}" y1="{}" x2="{}" y2="{}"{}/>', *place, self.paint(**paint))

    def path(self, way: str, **paint: Unpack[Paint]) -> SafeString:
        """A path with rounded joints."""
        ends = _ROUND if paint.get("stroke") else NOTHING
        return filled('<path d="{}"{}{}/>', way, ends, self.paint(**paint))

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
    ) -> SafeString:
        """A line of text; `words` is escaped."""
        return filled(
            '<text x="{}" y="{}" font-family="{}" font-size="{}" font-weight="{}" text-anchor="{}"{}>{}</text>',
            number(x),
            number(y),
            MONO_FONT if mono else TEXT_FONT,
            number(size),
            weight,
            anchor,
            self.paint(fill=color),
            words,
        )


def picture(name: str, key: str, size: tuple[float, float], css_class: str, *children: SafeString) -> SafeString:
    """The whole picture: an image with a name for those who hear it.

    With a key the name is a title element, whose id the key makes its own; without one it is a label.
    """
    width, height = size
    pairs: dict[str, Value] = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {number(width)} {number(height)}",
        "width": width,
        "height": height,
        "class": css_class,
        "role": "img",
    }
    if not key:
        return element("svg", {**pairs, "aria-label": name}, *children)
    title_id = identifier(key, "title")
    title = element("title", {"id": title_id}, name or "-")
    return element("svg", {**pairs, "aria-labelledby": title_id}, title, *children)
