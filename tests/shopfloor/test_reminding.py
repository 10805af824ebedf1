"""What an owner declined is told with a reminder of service: in list, mail, letter, note and CSV."""

from __future__ import annotations

import csv
import io
import json
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import lxml.html
import pytest
from django.urls import reverse
from django.utils import timezone

from billing.authorizations.actions import drop_deferred
from billing.authorizations.models import DeferredWork
from shopfloor.reminding import deferred_sentences, sentence_of
from staff.queries import shop_profile
from tests.asking import asked
from tests.cast import make_cast
from tests.shopfloor.scene import Scene
from tests.workorders.counter import signed_in
from vessels.actions import change_owner
from vessels.models import Customer, Engine
from workorders.models import Job
from workorders.upkeep.actions import add_plan, adopt_plans, note_reminder, write_letters
from workorders.upkeep.models import Reminder, ReminderLetter

NOON = datetime(2026, 11, 3, 16, tzinfo=UTC)
PORT = Engine(position="port", maker="Norrland", model="D6T-370")


def text_of(page: Any) -> str:
    return " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())


@pytest.mark.parametrize(
    ("work", "told"),
    [
        ({}, "Wax: declined on Nov 3, 2026, job 1001."),
        ({"engine": PORT}, "Wax, Port · Norrland D6T-370: declined on Nov 3, 2026, job 1001."),
        ({"is_safety": True}, "Wax: declined on Nov 3, 2026, job 1001. We said that it touches safety."),
        ({"alternatives": "A, B"}, "Wax (one of: A, B): declined on Nov 3, 2026, job 1001."),
        ({"why": "My brother does it cheaper"}, "Wax: declined on Nov 3, 2026, job 1001."),
        ({"amount": 512}, "Wax: declined on Nov 3, 2026, job 1001."),
        ({"declined_by": "Wes Harrow"}, "Wax: declined on Nov 3, 2026, job 1001."),
        ({"what": "<b>Wax</b> & zincs"}, "<b>Wax</b> & zincs: declined on Nov 3, 2026, job 1001."),
        ({"declined_at": datetime(2026, 11, 4, 3, tzinfo=UTC)}, "Wax: declined on Nov 3, 2026, job 1001."),
    ],
)
def test_the_sentence_tells_what_and_when_and_no_sum_and_no_reason(db: None, work: dict[str, Any], told: str) -> None:
    shop_profile()
    known = {"what": "Wax", "job": Job(number=1001), "declined_at": NOON, "amount": 100, **work}
    assert sentence_of(DeferredWork(**known)) == told


@pytest.fixture
def scene(db: None, settings: Any, tmp_path: Path) -> Scene:
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path
    shop_profile()
    made = Scene(make_cast())
    made.deferred  # noqa: B018  (declines it)
    cast = made.cast
    plan = add_plan(by=cast.tech, family=cast.family, name="Oil", every_months=12)
    day = timezone.localdate() - timedelta(days=500)
    adopt_plans(by=cast.desk, engine=cast.port, plans=[plan], basis="done", last_on=day, source="told")
    return made


def test_it_stands_in_the_list_the_mail_the_letter_the_note_and_the_csv(scene: Scene) -> None:
    cast, told = scene.cast, sentence_of(scene.deferred)
    desk = signed_in(cast.desk)
    page = desk.get(reverse("upkeep:reminders"))
    assert f"Deferred work{told}" in text_of(page)
    mail = lxml.html.fromstring(page.content.decode()).xpath("//textarea")[0].text
    assert f"Deferred work:\n- {told}" in mail.replace("\r\n", "\n")
    rows = list(csv.DictReader(io.StringIO(desk.get(reverse("upkeep:reminders_csv")).getvalue().decode())))
    assert [(row["stands"], row["why"]) for row in rows if row["stands"] == "Deferred work"] == [
        ("Deferred work", told)
    ]
    note_reminder(by=cast.desk, customer=cast.customer, vessels=[cast.vessel], way="call")
    assert Reminder.objects.get().told.endswith(f"Deferred work: {told}")
    write_letters(by=cast.desk, customers=[cast.customer], entry_id=uuid.uuid4())
    (boat,) = json.loads(ReminderLetter.objects.get().record)["boats"]
    assert boat["besides"] == [{"title": "Deferred work", "sentences": [told]}]


def test_what_was_dropped_or_an_owner_of_before_declined_is_not_told(scene: Scene) -> None:
    cast, boats = scene.cast, [scene.cast.vessel.pk]
    assert deferred_sentences(boats)
    change_owner(by=cast.desk, vessel=cast.vessel, new_owner=Customer.objects.create(name="Ida"))
    assert not deferred_sentences(boats)
    assert scene.deferred.what not in text_of(signed_in(cast.desk).get(reverse("upkeep:reminders")))
    change_owner(by=cast.desk, vessel=cast.vessel, new_owner=cast.customer)
    assert deferred_sentences(boats)
    drop_deferred(by=cast.desk, deferred=scene.deferred, reason="Sold")
    assert not deferred_sentences(boats)


def test_it_is_one_question(scene: Scene) -> None:
    with asked() as spent:
        deferred_sentences([scene.cast.vessel.pk])
    assert spent.queries <= 2, "and the shop's clock"
