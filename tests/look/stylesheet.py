"""Reading the house's style sheets: the tokens of each color scheme."""

from __future__ import annotations

import re
from pathlib import Path

CSS = Path(__file__).resolve().parents[2] / "static" / "css"
SCHEMES = {
    "light": (),
    "dark": ("dark",),
    "light, more contrast": ("more",),
    "dark, more contrast": ("dark", "more"),
}


def _blocks() -> list[tuple[frozenset[str], dict[str, str]]]:
    """Each :root block of colors with the preferences that it asks for, in the order of the file."""
    text = re.sub(r"/\*.*?\*/", "", (CSS / "tokens.css").read_text(), flags=re.S)
    found = []
    for wanted, body in re.findall(r"(?:@media screen and ([^{]+)\{\s*)?:root \{([^}]*)\}", text):
        asked = {word for word in ("dark", "more") if f": {word})" in wanted}
        found.append((frozenset(asked), dict(re.findall(r"(--[\w-]+):\s*(#[0-9a-f]{6});", body))))
    return found


def tokens(scheme: str) -> dict[str, str]:
    """The colors in force under a scheme."""
    given = set(SCHEMES[scheme])
    made: dict[str, str] = {}
    for asked, colors in _blocks():
        if asked <= given:
            made |= colors
    return {name.removeprefix("--"): value for name, value in made.items()}


def luminance(color: str) -> float:
    """Relative luminance. Source: WCAG 2.2, "relative luminance"."""
    parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21. Source: WCAG 2.2, "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
