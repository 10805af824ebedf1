"""Every tool of the Bench, found in ``findings/bench/tools/``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from findings.bench import tools as package
from findings.bench.tool import Group, Tool


@cache
def all_tools() -> Mapping[str, Tool]:
    """Every tool by its slug, in the order of groups and modules. Imported when first asked for.

    Raises:
        ValueError: two tools have one slug.
    """
    found: list[Tool] = []
    for module in sorted(iter_modules(package.__path__), key=lambda module: module.name):
        found += import_module(f"{package.__name__}.{module.name}").TOOLS
    order = list(Group)
    found.sort(key=lambda tool: order.index(tool.group))
    by_slug = {tool.slug: tool for tool in found}
    if len(by_slug) != len(found):
        slugs = [tool.slug for tool in found]
        raise ValueError(f"two tools are called {next(slug for slug in slugs if slugs.count(slug) > 1)!r}")
    return by_slug


def grouped_tools(text: str = "") -> list[tuple[Group, list[Tool]]]:
    """The tools under their groups, those that fit the words; a group without tools is left out."""
    fitting = [tool for tool in all_tools().values() if _fits(tool, text)]
    members = [(group, [tool for tool in fitting if tool.group is group]) for group in Group]
    return [(group, tools) for group, tools in members if tools]


def _fits(tool: Tool, text: str) -> bool:
    """Whether every word typed begins a word of what the tool says of itself or asks for."""
    said = [tool.title, tool.purpose, tool.group.value, tool.logs_as, *(field.label for field in tool.fields)]
    words = _words(" ".join(said))
    return all(any(word.startswith(typed) for word in words) for typed in _words(text))


def _words(text: str) -> set[str]:
    return set(re.findall(r"\w+", text.casefold()))
