"""The version stands in one place, and wherever it is told it is that one."""

from __future__ import annotations

import re
import tomllib

import pytest
from django.test import Client

from shopfloor.database import ROOT
from shopfloor.version import VERSION
from tests.cast import make_cast


def test_the_project_names_no_version_of_its_own() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    assert "version" not in project["project"]
    assert project["tool"]["setuptools"]["dynamic"]["version"] == {"attr": "shopfloor.version.VERSION"}


def test_it_is_later_than_every_version_that_was_given_out() -> None:
    given_out = re.findall(r"^## (\d+\.\d+\.\d+)$", (ROOT / "CHANGELOG.md").read_text(), re.MULTILINE)
    as_figures = [tuple(map(int, version.split("."))) for version in given_out]
    assert tuple(map(int, VERSION.split("."))) > max(as_figures)


@pytest.mark.django_db
def test_the_owner_reads_it_on_the_shops_page(client: Client) -> None:
    client.force_login(make_cast().owner)
    assert f"Garboard {VERSION}" in client.get("/shop/").content.decode()
