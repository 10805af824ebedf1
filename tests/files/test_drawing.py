"""Drawing on paper leaves nothing behind on the machine."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.acceptance.running import environment
from tests.conftest import ROOT

DRAW = """
import django
django.setup()
from files.paper.drawing import draw
print(draw("<html lang=en><title>Paper</title><p>Words</p></html>", size="letter").pages)
"""


def test_a_process_that_drew_ends_quietly_and_takes_its_fonts_along(tmp_path: Path) -> None:
    var, scratch = tmp_path / "var", tmp_path / "scratch"
    var.mkdir()
    scratch.mkdir()
    env = environment(
        var,
        PUBLIC_URL="http://127.0.0.1:8000", DATABASE_URL="postgresql://nobody@127.0.0.1:1/nothing",
        DJANGO_SETTINGS_MODULE="shopfloor.settings", TMPDIR=str(scratch), PYTHONPATH=str(ROOT),
    )  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", DRAW], cwd=ROOT, env=env, capture_output=True, text=True, timeout=100, check=False
    )
    assert (done.stdout.strip(), done.stderr) == ("1", "")
    assert list(scratch.iterdir()) == []
