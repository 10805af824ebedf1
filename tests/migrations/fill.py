"""Fills an empty place with a small invented shop, through the actions of the release that runs it, and packs it.

For a new release, in a checkout of it: ``python -m tests.migrations.fill tests/migrations/0.4.0.tar.gz``. What is packed
once is never packed anew: it is what that release has written.
"""

from __future__ import annotations

import atexit
import io
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path


def fill() -> None:
    """Everything that a job leaves behind: log, faults, readings, a CAN log's file, a logo, a signed report."""
    from django.core.files.uploadedfile import SimpleUploadedFile
    from django.core.management import call_command
    from PIL import Image

    from findings.canlogs.actions import bring_log
    from findings.reports import issuing
    from staff.actions import change_shop
    from staff.queries import shop_profile
    from tests.cast import make_cast
    from tests.findings.reports import scene
    from vessels import actions

    call_command("migrate", verbosity=0)
    call_command("createcachetable", verbosity=0)
    call_command("make_certificate", verbosity=0)
    cast = make_cast()
    logo = io.BytesIO()
    Image.new("RGB", (40, 20), "navy").save(logo, "PNG")
    change_shop(by=cast.owner, seen_version=shop_profile().version, changes={}, logo_png=logo.getvalue())
    job = scene.job_with_findings(cast)
    note = actions.write_note(by=cast.tech, vessel=cast.vessel, text="Bilge wet.")
    actions.amend_text(by=cast.tech, entry=note, text="Bilge damp.")
    bring_log(by=cast.tech, job=job, file=SimpleUploadedFile("run.log", b"(1.0) can0 123#00\n" * 3))
    draft = scene.reviewed(cast, job)
    scene.sign(cast.owner, draft)
    if issuing.issue(draft.pk) is None:
        raise SystemExit("The report was not issued.")


def pack(target: Path, var: Path) -> None:
    """The database as SQL and the media folder."""
    from django.conf import settings

    from shopfloor.postgres import binaries

    place = settings.DATABASES["default"]
    command = [str(binaries() / "pg_dump"), "--no-owner", "--no-privileges", f"--host={place['OPTIONS']['host']}"]
    dump = subprocess.run([*command, "--username=postgres", "garboard"], check=True, capture_output=True).stdout
    with tarfile.open(target, "w:gz", format=tarfile.PAX_FORMAT) as tar:
        info = tarfile.TarInfo("dump.sql")
        info.size = len(dump)
        tar.addfile(info, io.BytesIO(dump))
        tar.add(var / "media", "media", filter=_of_nobody)
    print(f"{target}: {target.stat().st_size} bytes")


def _of_nobody(info: tarfile.TarInfo) -> tarfile.TarInfo:
    info.uid = info.gid = info.mtime = 0
    info.uname = info.gname = ""
    return info


def main() -> None:
    """Fill and pack."""
    target = Path(sys.argv[1]).absolute()
    folder = tempfile.mkdtemp(prefix="garboard-")
    atexit.register(shutil.rmtree, folder)  # after the database has let go of it
    Path(folder).chmod(0o755)
    os.environ |= {"GARBOARD_VAR": folder, "GARBOARD_SETTINGS": os.devnull, "PUBLIC_URL": "https://shop.example.com"}
    os.environ |= {"DJANGO_SETTINGS_MODULE": "shopfloor.settings"}
    from shopfloor.database import start_database

    start_database(durable=False)
    import django

    django.setup()
    fill()
    pack(target, Path(folder))


if __name__ == "__main__":
    main()
