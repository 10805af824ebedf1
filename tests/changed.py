"""Which files of tests to run first for what was changed: ``python -m tests.changed`` names them, the nearest first.

Changed is what differs from where the branch left ``main`` (on ``main``: from the last commit), committed or not.
Nearest are tests that were changed themselves, then those that import what was changed, then those of the same part of
the house, then those that import it through others. Pages are reached by their addresses and not by imports, so that
no list of this kind is whole: ``make test`` is what proves.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import grimp

from shopfloor.database import ROOT
from tests.house import FLOORS

PACKAGES = [*FLOORS, "tests"]
LEFT_OUT = ("tests/browser/", "tests/acceptance/")
OF_PAGES = ["tests/look"]  # what looks at every template and style sheet


def _git(*arguments: str) -> list[str]:
    done = subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout.splitlines() if done.returncode == 0 else []


def changed_files() -> list[str]:
    """The paths that differ, new ones among them."""
    base = next(iter(_git("merge-base", "HEAD", "main") or _git("merge-base", "HEAD", "origin/main")), "HEAD")
    return sorted({*_git("diff", "--name-only", base), *_git("ls-files", "--others", "--exclude-standard")})


def module_of(path: str) -> str:
    """The module that a file is, or nothing."""
    if not path.endswith(".py"):
        return ""
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def folders_of(path: str) -> list[str]:
    """The folders of tests that mirror where a file stands, the narrowest first."""
    parts = Path(path).parts[:-1]
    if parts[:1] == ("templates",):
        parts = parts[1:]
    found = ["/".join(["tests", *parts[:length]]) for length in range(len(parts), 0, -1)]
    return found + (OF_PAGES if path.startswith(("templates/", "static/", "web/")) or path.endswith(".md") else [])


def nearest_first(changed: Iterable[str]) -> list[str]:
    """Files of tests for these paths, the nearest first."""
    graph = grimp.build_graph(*PACKAGES, cache_dir=None)
    files = {module.replace(".", "/") + ".py": module for module in graph.modules if ".test_" in module}
    files = {file: module for file, module in files.items() if not file.startswith(LEFT_OUT)}
    near: dict[str, int] = {}

    def note(distance: int, *found: str) -> None:
        for file in found:
            if file in files:
                near[file] = min(distance, near.get(file, distance))

    for path in changed:
        note(0, path)
        module = module_of(path)
        if module in graph.modules:
            for importer in graph.find_modules_that_directly_import(module):
                note(1, importer.replace(".", "/") + ".py")
            for importer in graph.find_downstream_modules(module):
                note(6, importer.replace(".", "/") + ".py")
        for distance, folder in enumerate(folders_of(path), start=2):
            note(distance, *(file for file in files if file.startswith(f"{folder}/")))
    return sorted(near, key=lambda file: (near[file], file))


if __name__ == "__main__":
    print(*nearest_first(sys.argv[1:] or changed_files()), sep="\n")
