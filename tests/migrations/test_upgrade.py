"""A filled database of each released version is brought up to date, and is still what was written."""

from __future__ import annotations

import io
import subprocess
import tarfile
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from findings.canlogs.models import CanLog
from findings.faults.models import Fault
from findings.reports.models import IssuedReport
from findings.reports.storage import stored_pdf
from shopfloor.backup import postgresql
from shopfloor.readiness import NotReadyError, make_tables, refuse_strange_database
from staff.models import Person
from staff.queries import shop_profile
from tests.migrations.new_database import empty_database, layout, with_in
from vessels.models import LogEntry, Vessel
from workorders.models import Job
from workorders.reckoning import ALL_KINDS
from workorders.taxes.queries import taxes_on

RELEASES = sorted(Path(__file__).parent.glob("*.tar.gz"))


@pytest.fixture(params=RELEASES, ids=lambda path: path.name.removesuffix(".tar.gz"))
def release(
    request: pytest.FixtureRequest, django_db_setup: None, django_db_blocker: Any, settings: Settings, tmp_path: Path
) -> Iterator[str]:
    """A place as a release has left it; the program is connected to it."""
    with tarfile.open(request.param) as tar:
        tar.extractall(tmp_path, filter="data")
    settings.VAR, settings.MEDIA_ROOT = tmp_path, str(tmp_path / "media")
    with django_db_blocker.unblock():
        place = postgresql.parameters()
        name = f"{connection.settings_dict['NAME']}_upgraded"
        with psycopg.connect(**(place | {"dbname": "postgres"}), autocommit=True) as server:
            server.execute(f'DROP DATABASE IF EXISTS "{name}"')
            server.execute(f'CREATE DATABASE "{name}"')
            environment = postgresql.environment() | {"PGDATABASE": name}
            command = [postgresql.program("psql"), "--quiet", "--no-psqlrc", "--set=ON_ERROR_STOP=1", "--output=/dev/null"]
            subprocess.run([*command, f"--file={tmp_path / 'dump.sql'}"], env=environment, check=True)
            before = connection.settings_dict
            connection.close()
            connection.settings_dict = before | {"NAME": name}
            try:
                yield request.param.name.removesuffix(".tar.gz")
            finally:
                connection.close()
                connection.settings_dict = before
                server.execute(f'DROP DATABASE "{name}"')


def said_by(command: str, **options: Any) -> str:
    out = io.StringIO()
    call_command(command, stdout=out, **options)
    return out.getvalue()


def test_every_released_version_has_one() -> None:
    assert RELEASES


def test_it_is_brought_up_to_date_and_everything_is_still_what_was_written(release: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT id, digest FROM vessels_logentry ORDER BY id")
        digests = cursor.fetchall()
        cursor.execute("UPDATE staff_shopprofile SET tax_percent = 6.25, tax_on_labor = true")
        cursor.execute("SELECT id, tax_percent, tax_on_labor FROM workorders_job ORDER BY id")
        taxed = cursor.fetchall()
    assert len(digests) > 8
    call_command("migrate", verbosity=0)
    upgraded = with_in(layout())
    with empty_database(f"{connection.settings_dict['TEST']['NAME']}_of_now"):
        make_tables()
        assert upgraded == with_in(layout())
    assert list(LogEntry.objects.order_by("pk").values_list("pk", "digest")) == digests
    assert list(Job.objects.order_by("pk").values_list("pk", "tax_percent", "tax_on_labor")) == taxed
    (rate,) = taxes_on(timezone.localdate(), [1])[1].taxes
    assert (rate.name, rate.percent, rate.kinds) == ("Sales tax", Decimal("6.25"), ALL_KINDS)
    assert "every digest agrees" in said_by("verify_log")
    assert "every fault is what its evidence says" in said_by("rebuild_faults", check=True)
    assert "every digest agrees" in said_by("check_files")
    for report in IssuedReport.objects.all():
        assert stored_pdf(report).startswith(b"%PDF")
    assert {Fault.objects.exists(), CanLog.objects.exists(), IssuedReport.objects.exists()} == {True}
    with shop_profile().logo.open("rb") as logo:
        assert logo.read().startswith(b"\x89PNG")
    client = Client()
    client.force_login(Person.objects.get(role="owner"))
    boat = Vessel.objects.get()
    for path in ["/", "/jobs/", f"/vessels/{boat.pk}/", f"/vessels/{boat.pk}/log/", f"/vessels/{boat.pk}/faults/", "/shop/"]:
        assert client.get(path).status_code == 200, path


@pytest.mark.django_db
@pytest.mark.parametrize(("app", "name"), [("findings", "0001_initial"), ("vessels", "0003_initial"), ("faults", "0999_later")])
def test_a_database_that_another_version_made_is_refused_and_left_as_it_is(app: str, name: str) -> None:
    MigrationRecorder(connection).record_applied(app, name)
    with pytest.raises(CommandError, match=rf"another version of the program: .* does not know {app}\.{name}\. Start"):
        call_command("migrate", verbosity=0)
    with pytest.raises(NotReadyError, match=rf"does not know {app}\.{name}\."):
        make_tables()


@pytest.mark.django_db
def test_a_migration_of_a_library_that_is_no_longer_there_is_none_of_ours() -> None:
    MigrationRecorder(connection).record_applied("another_library", "0001_initial")
    refuse_strange_database()
