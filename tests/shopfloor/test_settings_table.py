"""The README's table of settings and the settings themselves are the same list."""

from __future__ import annotations

import re
from pathlib import Path

from tests.conftest import settings_of_the_environment
from tests.house import FLOORS

READ_BEFORE_THE_SETTINGS = {"GARBOARD_VAR", "GARBOARD_SETTINGS", "GARBOARD_TEST_DB"}


def table(project_root: Path) -> list[str]:
    text = (project_root / "README.md").read_text()
    part = text.split("### Settings", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"^\| `([A-Z0-9_]+)` \|", part, re.MULTILINE)


def test_each_setting_is_in_the_table_once_and_nothing_else_is(project_root: Path) -> None:
    names = table(project_root)
    assert len(names) == len(set(names))
    assert set(names) == settings_of_the_environment() | READ_BEFORE_THE_SETTINGS


def test_nothing_but_the_few_early_ones_is_read_past_the_settings(project_root: Path) -> None:
    early = re.compile(r"os\.environ(?:\.get\(|\[)\s*\"([A-Z0-9_]+)\"")
    allowed = READ_BEFORE_THE_SETTINGS | {
        "DATABASE_URL",
        "MIGRATION_DATABASE_URL",
        "DJANGO_SETTINGS_MODULE",
        "OWNER_PASSWORD",
        "OWNER_EMAIL",
    }
    for package in FLOORS:
        for file in (project_root / package).rglob("*.py"):
            assert set(early.findall(file.read_text())) <= allowed, file


def test_commands_of_the_readme_are_those_of_the_makefile(project_root: Path) -> None:
    makefile = (project_root / "Makefile").read_text()
    targets = set(re.findall(r"^([a-z]+):.*## ", makefile, re.MULTILINE)) - {"help"}
    readme = (project_root / "README.md").read_text().split("## Commands", 1)[1].split("\n## ", 1)[0]
    rows = [line.split("|")[1] for line in readme.splitlines() if line.startswith("| `make")]
    assert {target for row in rows for target in re.findall(r"make ([a-z]+)", row)} == targets
