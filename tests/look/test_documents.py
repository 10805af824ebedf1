"""What the documents name exists: commands, settings, addresses and paths.

The other way round, every setting that is read, every command of ours and every role in the shop is named in them.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from uuid import UUID

import pytest
from django.core.management import get_commands
from django.urls import Resolver404, resolve

from staff.models import Person
from staff.roles import Role

ROOT = Path(__file__).resolve().parents[2]
NAMES = ["README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "SECURITY.md", "docs/report.md", "deploy/README.md"]
DOCUMENTS = {name: (ROOT / name).read_text() for name in NAMES}
HIDDEN = {".venv", ".git", "var", "node_modules"}
PATHS = {
    str(path.relative_to(ROOT))
    for top in ROOT.iterdir()
    if top.name not in HIDDEN
    for path in [top, *(top.rglob("*") if top.is_dir() else [])]
}
PATHS |= {path[: len("docs/decisions/0000")] for path in PATHS if path.startswith("docs/decisions/")}
SETTINGS = sorted((ROOT / "shopfloor").glob("*.py"))
# Named by other programs: what a test run or a terminal sets, and the owner that a command makes.
NOT_FOR_CONTAINERS = {"DEBUG", "GARBOARD_SETTINGS", "GARBOARD_TEST_DB"}


def coded(document: str) -> list[str]:
    """What stands in code marks, blocks line by line, comments behind a command left out."""
    blocks = re.findall(r"```[a-z]*\n(.*?)```", document, re.DOTALL)
    plain = re.sub(r"```.*?```", "", document, flags=re.DOTALL)
    lines = [line.partition(" #")[0] for block in blocks for line in block.splitlines()]
    return [*re.findall(r"`([^`\n]+)`", plain), *lines]


def targets() -> set[str]:
    """The targets of the Makefile."""
    return set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(), re.MULTILINE))


def wrong_commands(document: str) -> list[str]:
    """Commands in code marks that neither make nor manage.py knows."""
    found = []
    for words in coded(document):
        found += [f"make {name}" for name in re.findall(r"\bmake ([a-z][a-z-]*)\b", words) if name not in targets()]
        found += [
            f"manage.py {name}" for name in re.findall(r"manage\.py ([a-z_]+)", words) if name not in get_commands()
        ]
    return found


def wrong_addresses(document: str) -> list[str]:
    """Addresses of the program, such as `/health/`, that lead nowhere."""
    found = []
    for words in coded(document):
        for path in re.findall(r"^(?:GET |POST )?(/[a-z][a-z0-9/<>_…-]*/)$", words):
            try:
                resolve(
                    re.sub(r"<[^>]*>|…", "1", path.replace("<sha256>", "0" * 64).replace("<uuid>", str(UUID(int=1))))
                )
            except Resolver404:
                found.append(path)
    return found


def wrong_paths(document: str) -> list[str]:
    """Files and folders of the project that are not there; a name by itself may be anywhere in it."""
    found = []
    for words in coded(document):
        path = words.strip().rstrip("/")
        if not re.fullmatch(r"[A-Za-z0-9_.-]+(/[A-Za-z0-9_.-]+)+|[A-Za-z0-9_-]+\.(py|md|sh|yml|toml)", path):
            continue
        top = path.split("/")[0]
        is_ours = (ROOT / top).is_dir() and top != "var" if "/" in path else True
        if is_ours and path not in PATHS and not any(known.endswith(f"/{path}") for known in PATHS):
            found.append(path)
    return found


def own_commands() -> set[str]:
    """The commands that packages of this project have, of other packages' names those that it makes its own."""
    return {
        name for name, app in get_commands().items() if isinstance(app, str) and (ROOT / app.replace(".", "/")).is_dir()
    }


def commands_documented(document: str) -> set[str]:
    """What stands in code marks alone or behind manage.py."""
    return {
        name
        for words in coded(document)
        for name in re.findall(r"(?:^|manage\.py )([a-z][a-z_]+)(?= |$)", words.strip())
    }


def roles_documented(document: str) -> set[str]:
    """What begins a point of a list in bold letters, as roles do."""
    return set(re.findall(r"^- \*\*([^*:]+):\*\*", document, re.MULTILINE))


def settings_read() -> set[str]:
    """Names of settings that the program asks its environment for."""
    found = set()
    for path in [*SETTINGS, ROOT / "staff/management/commands/createowner.py"]:
        for node in ast.walk(ast.parse(path.read_text())):
            if not isinstance(node, ast.Call) or not node.args or not isinstance(node.args[0], ast.Constant):
                continue
            called = ast.unparse(node.func)
            name = str(node.args[0].value)
            if re.fullmatch(r"[A-Z][A-Z0-9_]+", name) and re.search(
                r"(^|\.)(environ\.get|str)$|^(environment\.)?\w+$", called
            ):
                found.add(name)
    return found


def settings_documented() -> set[str]:
    """Names in the table of settings in README.md."""
    return set(re.findall(r"^\| `([A-Z][A-Z0-9_]+)` \|", DOCUMENTS["README.md"], re.MULTILINE))


@pytest.mark.parametrize("name", NAMES)
def test_what_a_document_names_exists(name: str) -> None:
    document = DOCUMENTS[name]
    assert (wrong_commands(document), wrong_addresses(document), wrong_paths(document)) == ([], [], [])


def test_a_name_that_does_not_exist_is_found() -> None:
    document = "`make coffee`, `manage.py fly`, `/no/such/page/`, `docs/nothing.md`\n```\nmake nothing # and why\n```\n"
    assert wrong_commands(document) == ["make coffee", "manage.py fly", "make nothing"]
    assert (wrong_addresses(document), wrong_paths(document)) == (["/no/such/page/"], ["docs/nothing.md"])


def test_every_setting_that_is_read_is_in_the_table_and_the_other_way_round() -> None:
    read = {name for name in settings_read() if not name.startswith(("OWNER_", "DJANGO_"))}
    assert len(read) > 20
    assert read | {"GARBOARD_TEST_DB"} == settings_documented()


def test_every_command_is_named() -> None:
    assert len(own_commands()) > 10
    assert own_commands() - commands_documented(DOCUMENTS["DEVELOPERS.md"]) == set()


def test_every_role_is_named() -> None:
    roles = {str(label) for _, label in Person.ROLES}
    assert len(roles) == len(Role)
    assert roles - roles_documented(DOCUMENTS["README.md"]) == set()


def test_what_is_not_named_is_found() -> None:
    assert commands_documented("`fly`, a `manage.py land`\n```\nmanage.py hover --high\n```\n") == {
        "fly",
        "land",
        "hover",
    }
    assert roles_documented("- **Cook:** eats\n**Owner:** no point of a list\n") == {"Cook"}


def test_compose_passes_every_setting_on() -> None:
    compose = (ROOT / "docker-compose.yml").read_text()
    passed = set(re.findall(r"^ +([A-Z][A-Z0-9_]+): ", compose, re.MULTILINE))
    assert settings_documented() - NOT_FOR_CONTAINERS - passed == set()
