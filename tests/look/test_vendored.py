"""What is vendored is what VERSIONS.json says, with its license beside it."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

import pytest
from django.core.management import call_command
from django.test import Client

from tests.house import FLOORS

STATIC = Path(__file__).resolve().parents[2] / "static"
TEMPLATES = STATIC.parent / "templates"
RECORDS = json.loads((STATIC / "vendor" / "VERSIONS.json").read_text())


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record["package"])
def test_files_are_those_that_were_recorded(record: dict) -> None:
    for entry in record["files"]:
        digest = hashlib.sha256((STATIC / entry["file"]).read_bytes()).hexdigest()
        assert digest == entry["sha256"], f"{entry['file']} is not the file of {record['package']} {record['version']}"


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record["package"])
def test_the_license_is_there(record: dict) -> None:
    words = {
        "OFL-1.1": "SIL OPEN FONT LICENSE",
        "0BSD": "Zero-Clause BSD",
        "ISC": "ISC License",
    }[record["license"]]
    assert words.lower() in (STATIC / record["license_file"]).read_text().lower()


def test_htmx_says_the_recorded_version() -> None:
    record = next(record for record in RECORDS if record["package"] == "htmx.org")
    assert record["version"].startswith("2.")
    assert f'version:"{record["version"]}"' in (STATIC / "vendor" / "htmx.min.js").read_text()


def test_nothing_is_vendored_that_is_not_recorded() -> None:
    recorded = {entry["file"] for record in RECORDS for entry in record["files"]}
    recorded |= {record["license_file"] for record in RECORDS} | {"vendor/VERSIONS.json"}
    there = {str(path.relative_to(STATIC)) for folder in ("fonts", "vendor") for path in (STATIC / folder).rglob("*.*")}
    assert there == recorded - {"icons.svg"}


def test_fonts_in_the_style_sheets_exist() -> None:
    for sheet in ("fonts.css", "paper-fonts.css"):
        urls = re.findall(r'url\("\.\./([^"]+)"\)', (STATIC / "css" / sheet).read_text())
        assert urls
        for url in urls:
            assert (STATIC / url).is_file()


def test_icons_carry_no_style_or_script() -> None:
    text = (STATIC / "icons.svg").read_text()
    assert text.count("<symbol") > 50
    assert not re.search(r"<style|<script|style=|\son\w+=|href=", text)


def test_every_icon_is_drawn_somewhere() -> None:
    """Each page's browser fetches the file: a symbol that nothing names only makes it longer."""
    floors = [STATIC.parent / floor for floor in ("templates", "static/js", *FLOORS)]
    texts = [
        path.read_text() for floor in floors for ending in ("html", "js", "py") for path in floor.rglob(f"*.{ending}")
    ]
    named = set(re.findall(r"[\"'#]([a-z0-9-]+)[\"']", "\n".join(texts)))
    symbols = set(re.findall(r'<symbol id="([^"]+)"', (STATIC / "icons.svg").read_text()))
    assert symbols - named == set()


def test_static_files_can_be_named_by_their_digest(settings, tmp_path: Path, client: Client) -> None:
    """Every address inside the style sheets is found when the files are collected for production."""
    backend = "whitenoise.storage.CompressedManifestStaticFilesStorage"
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = {**settings.STORAGES, "staticfiles": {"BACKEND": backend}}
    call_command("collectstatic", interactive=False, verbosity=0)
    names = json.loads((tmp_path / "staticfiles.json").read_text())["paths"]
    asked = {
        name for page in TEMPLATES.rglob("*.html") for name in re.findall(r"{% static [\"']([^\"']+)", page.read_text())
    }
    assert len(asked) > 20
    assert asked - set(names) == set()
    sheet = (tmp_path / names["css/fonts.css"]).read_text()
    assert names["fonts/atkinson-hyperlegible-next-latin-400.woff2"].split("/")[-1] in sheet
    assert (tmp_path / "js" / "keep.js").is_file()  # modules import each other by their plain names
    kept = json.loads(re.search(r"const KEPT = (\[.*\]);", client.get("/service-worker.js").content.decode())[1])
    assert f"/static/{names['js/waiting.js']}" in kept
    imported = re.findall(r'from "\./([a-z-]+\.js)"', (STATIC / "js/waiting.js").read_text())
    assert imported
    assert {f"/static/js/{name}" for name in imported} <= set(kept)
