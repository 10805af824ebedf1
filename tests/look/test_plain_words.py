"""The program speaks plain US English: what reads odd is named, with the word of docs/glossary.md to use instead."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APPS = [
    "billing", "commands", "engineering", "files", "findings", "parts", "shopfloor", "staff", "vessels", "web",
    "workorders",
]  # fmt: skip
MODULES = sorted(path for app in APPS for path in (ROOT / app).rglob("*.py") if "migrations" not in path.parts)
TEMPLATES = sorted(path for path in (ROOT / "templates").rglob("*") if path.suffix in {".html", ".txt"})
SCRIPTS = sorted((ROOT / "static" / "js").rglob("*.js"))

INSTEAD = {
    r"\b(taken|took) (it |them )?(back|off|out)\b": "voided, removed",
    r"\btak(e|es|ing) (it|that|this|them|one|an entry|the entry|the signing) (back|off|out)\b": "void, remove",
    r"\bthr(ow|ows|own|ew)\b": "discard, delete",
    r"\b(un)?tick(s|ed)?\b(?!-)": "select, selected",
    r"\bput right\b|\bmend(s|ed)?\b": "fix, correct, repair",
    r"\banew\b": "again",
    r"\bwhoever\b": "anyone who, the person who",
    r"\b(it|still|and) stands?\b[,.?]|\bas it stands\b|\bstands for good\b|\bfor good\b": "is valid, permanently",
    r"\bno longer holds\b|\bholds now\b": "is no longer valid",
    r"\bof ours\b": "our",
    r"\bfor want of\b": "because there is not enough",
    r"\bexchange[sd]?\b": "swap",
    r"\b(no|nothing|nobody)( \w+)? fits\b": "nothing found",
    r"\bWrite (a (?!note)|an|the (?!condition report|PDF)|at least|one|both)\b": "Enter",
    r"\b[Ee]-mails?\b": "email",
    r"\bfirms?\b": "company",
    r"\b(few|four|more|most\}) signs\b": "characters",
    r"\bworked out\b|\b[Ww]ork it out\b": "calculated, calculate",
    r"\bwants? a word\b|\blet the engine breathe\b|\bnobody answers for\b": "say what is so",
    r"\bvery (same|file)\b": "same",
    r"\bbroke(n)? off\b": "stopped",
    r"\bcame upon\b": "found",
    r"\btrue hours\b": "engine hours",
    r"\b(colour|labour|centre|metre|litre|harbour|behaviour|licence|cancelled|organis|recognis)\w*": "the US spelling",
    r"[a-z]!(\s|$)": "a period",
}
# Words that are read and never said: what pasted texts, typed units and file formats may hold.
READ_NOT_SAID = ["engineering/codes/", "engineering/canlog/", "engineering/units.py", "staff/doors/passwords.py"]
# The invented shop's people write as they speak.
TYPED_BY_PEOPLE = "shopfloor/demo/"


def said_by_module(source: str) -> Iterator[tuple[int, str]]:
    """What a module may say: its texts of more than one word, docstrings left out, f-strings whole."""
    nodes = list(ast.walk(ast.parse(source)))
    silent = {id(part) for node in nodes if isinstance(node, ast.JoinedStr) for part in ast.walk(node)}
    silent |= {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        if isinstance(node, ast.JoinedStr):
            parts = [part.value if isinstance(part, ast.Constant) else "{…}" for part in node.values]
            yield node.lineno, "".join(str(part) for part in parts)
        elif isinstance(node, ast.Constant) and id(node) not in silent and " " in str(node.value).strip():
            yield node.lineno, str(node.value)


def said_by_template(source: str) -> Iterator[tuple[int, str]]:
    """The lines of a template without comments and tags; the attributes inside of a tag stay."""
    source = re.sub(r"\{#.*?#\}", "", source)
    for number, line in enumerate(source.splitlines(), 1):
        attributes = re.findall(r'(?<!class)="([^"<>{}]+)"', line)
        plain = re.sub(r"\{\{.*?\}\}", "{…}", re.sub(r"\{%.*?%\}|<[^>]*>?", "\n", line))
        yield number, "\n".join([plain, *(words for words in attributes if " " in words)])


def said_by_script(source: str) -> Iterator[tuple[int, str]]:
    """The texts of a script that have more than one word, comments left out."""
    for number, line in enumerate(source.splitlines(), 1):
        for words in re.findall(r'"([^"]*)"|`([^`]*)`', re.sub(r"(^|\s)//.*|/\*.*?\*/", "", line)):
            if " " in "".join(words).strip():
                yield number, "".join(words)


@cache
def all_said() -> list[tuple[str, str]]:
    """Everything that the program says, with the place where it stands."""
    found = []
    for paths, how in [(MODULES, said_by_module), (TEMPLATES, said_by_template), (SCRIPTS, said_by_script)]:
        for path in paths:
            name = str(path.relative_to(ROOT))
            if not name.startswith((TYPED_BY_PEOPLE, *READ_NOT_SAID)):
                found += [(f"{name}:{line}", text) for line, text in how(path.read_text())]
    return found


@pytest.mark.parametrize("pattern", INSTEAD)
def test_nothing_is_said_in_odd_words(pattern: str) -> None:
    odd = [f"{place}: {' '.join(text.split())[:120]}" for place, text in all_said() if re.search(pattern, text)]
    assert not odd, f"say: {INSTEAD[pattern]}\n" + "\n".join(odd)


@pytest.mark.parametrize(
    ("how", "source"),
    [
        (said_by_module, '"""A voided entry."""\nREFUSED = f"{name} was taken back."\n'),
        (said_by_module, 'raise Refused(\n    "The entry was "\n    "taken back.")'),
        (said_by_template, '{# taken back? #}\n<p class="hint">It was <b>taken back</b>.</p>'),
        (said_by_template, '{% include "a.html" with title="It was taken back" %}'),
        (said_by_script, 'say("It was taken back.");  // nothing else'),
    ],
)
def test_every_way_of_saying_it_is_heard(how, source: str) -> None:
    """The scanner itself: a planted phrase is found once, however it is written."""
    pattern = next(iter(INSTEAD))
    assert [bool(re.search(pattern, text)) for _, text in how(source)].count(True) == 1


def test_what_is_only_read_by_developers_is_left_alone() -> None:
    assert list(said_by_module('"""What was taken back."""\n\n\ndef f():\n    """Take it back."""\n')) == []
    assert not [
        1 for _, text in said_by_template("{# taken back #}\n{% if taken_back %}x{% endif %}") if "taken" in text
    ]
    assert list(said_by_script("go(); // it was taken back\n")) == []


def test_enough_is_heard() -> None:
    """Should the folders move, the check must not fall silent."""
    assert len(all_said()) > 3000
