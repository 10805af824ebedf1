"""The acts of the program as the developers' page lists them: from the code, so that the page cannot lag behind."""

from __future__ import annotations

import inspect
from itertools import groupby
from pathlib import Path

from commands.arguments import taken_by
from commands.registry import Envelope, all_acts

BEGIN, END = "<!-- acts: written by manage.py list_acts --write -->", "<!-- acts end -->"


def listing() -> str:
    """Each act with its arguments and what it gives, by module; under it the JSON of its arguments in a queue."""
    acts = sorted((one for one in all_acts().values() if not _module(one).startswith("tests")), key=_place)
    blocks = []
    for module, found in groupby(acts, key=_module):
        blocks.append("\n".join([module, *(f"    {_line(one)}\n        {taken_by(one).schema}" for one in found)]))
    return "```\n" + "\n".join(blocks) + "\n```"


def written_into(page: str) -> str:
    """The page with the list as it is now.

    Raises:
        ValueError: the page does not say where the list stands.
    """
    before, begin, rest = page.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise ValueError("the page does not say where the list of acts stands")
    return f"{before}{BEGIN}\n{listing()}\n{END}{after}"


def page_path(base: Path) -> Path:
    """Where the developers' page is."""
    return base / "DEVELOPERS.md"


def _line(one: Envelope) -> str:
    names = []
    for name, parameter in one.signature.parameters.items():
        if parameter.kind is inspect.Parameter.VAR_KEYWORD:
            names.append(f"**{name}")
        elif parameter.default is inspect.Parameter.empty:
            names.append(name)
        else:
            names.append(f"{name}=")
    gives = one.signature.return_annotation
    return f"{one.kind}({', '.join(names)}) -> {gives}"


def _module(one: Envelope) -> str:
    return str(inspect.unwrap(one.action).__module__)


def _place(one: Envelope) -> tuple[str, int]:
    return _module(one), inspect.unwrap(one.action).__code__.co_firstlineno
