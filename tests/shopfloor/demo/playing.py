"""Plays the demo scenario for a test, and takes it out again."""

from __future__ import annotations

from datetime import date

from django.core.management.color import no_style
from django.db import connection

from billing.authorizations.tasks import DRAW_AUTHORIZATION
from billing.estimates.tasks import DRAW_ESTIMATE
from billing.invoices.tasks import DRAW_PAPER
from commands.models import BackgroundTask
from shopfloor.demo.play import play_scenario
from shopfloor.demo.reports import sign_demo_reports
from shopfloor.demo.stage import Stage

LAST_DAY = date(2026, 11, 20)


def play() -> Stage:
    """Four years that end on a fixed day, and their reports."""
    stage = play_scenario(LAST_DAY)
    sign_demo_reports(stage)
    papers = [kind.name for kind in (DRAW_PAPER, DRAW_ESTIMATE, DRAW_AUTHORIZATION)]
    BackgroundTask.objects.filter(kind__in=papers).delete()  # nobody draws here; a page that waits would say so
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    return stage


def empty_the_database() -> None:
    """Take everything out; inside a transaction it comes back with the rollback."""
    tables = [name for name in connection.introspection.django_table_names(only_existing=True) if name != "django_site"]
    with connection.cursor() as cursor:
        for statement in connection.ops.sql_flush(no_style(), tables):
            cursor.execute(statement)
        cursor.execute("SET LOCAL session_replication_role = origin")
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
