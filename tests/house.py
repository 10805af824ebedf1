"""The floors of the house as its contract names them, from the roof down."""

from __future__ import annotations

import tomllib
from pathlib import Path

_CONTRACT = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text())["tool"]["importlinter"]
FLOORS: tuple[str, ...] = tuple(_CONTRACT["contracts"][0]["layers"])
