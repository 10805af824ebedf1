"""Reminding owners: by letter, mail or call, of all boats, never twice by mistake, and not those who want none."""

from __future__ import annotations

import csv
import io
import json
import uuid
from datetime import timedelta
from decimal import Decimal
from email.message import EmailMessage
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

import lxml.html
import pikepdf
import pytest
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Refused
from tests.workorders.counter import signed_in
from vessels.models import Customer, Engine, Vessel
from vessels.wording import date_words
from workorders.upkeep import besides
from workorders.upkeep.actions import (
    adopt_plans,
    discard_letter,
    note_letters_sent,
    note_reminder,
    note_reminder_wish,
    plan_line,
    write_letters,
)
from workorders.upkeep.models import Reminder, ReminderLetter
from workorders.upkeep.queries.calling import to_remind

H = Decimal


def text_of(page: Any) -> str:
    return " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())


@pytest.fixture(autouse=True)
def _shelf(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path


@pytest.fixture
def fleet(cast: Any, oil: Any, impeller: Any, ago: Any) -> dict[str, Customer]:
    """Wes has two boats due and something nobody knows; Ida one that comes up in 60 days; Sol nothing that is due."""
    told = {"basis": "done", "source": "told"}
    Customer.objects.filter(pk=cast.customer.pk).update(address="12 Quay Street\nPort Alden, ME 04999")
    adopt_plans(by=cast.desk, engine=cast.port, plans=[oil], last_on=ago(500), last_hours=H(400), **told)
    adopt_plans(by=cast.desk, engine=cast.starboard, plans=[impeller])
    made = {"wes": cast.customer}
    for name, days in [("ida", 730 - 60), ("sol", 30)]:
        made[name] = Customer.objects.create(name=name.capitalize())
        boat = Vessel.objects.create(name=f"{name.capitalize()}’s skiff", owner=made[name])
        engine = Engine.objects.create(vessel=boat, family=cast.family)
        adopt_plans(by=cast.desk, engine=engine, plans=[impeller], last_on=ago(days), **told)
    second = Vessel.objects.create(name="Tender", owner=cast.customer)
    engine = Engine.objects.create(vessel=second, family=cast.family)
    adopt_plans(by=cast.desk, engine=engine, plans=[impeller], last_on=ago(1000), **told)
    return made


def test_one_letter_an_owner_with_all_boats_and_what_it_was_reckoned_from(
    cast, fleet, django_capture_on_commit_callbacks
):
    desk = signed_in(cast.desk)
    page = text_of(desk.get(reverse("upkeep:reminders")))
    assert "1 owner" in page, "Ida’s comes later and Sol’s is not due"
    sent = {"customer": [cast.customer.pk], "seen": "0", "entry_id": str(uuid.uuid4())}
    with django_capture_on_commit_callbacks(execute=True):
        for _ in range(2):
            assert desk.post(reverse("upkeep:letters_write"), sent).status_code == 302
    letter = ReminderLetter.objects.get()
    record = json.loads(letter.record)
    assert {boat["name"] for boat in record["boats"]} == {str(cast.vessel), "Tender"}
    services = {one["service"]: one for boat in record["boats"] for one in boat["services"]}
    assert services["Oil and filter"]["stands"] == "Overdue"
    assert "as we were told" in services["Oil and filter"]["last"]
    assert any("By the calendar it was due on" in why for why in services["Oil and filter"]["why"])
    (unknown,) = [one for boat in record["boats"] for one in boat["not_known"]]
    assert (unknown["service"], unknown["stands"]) == ("Impeller", "Not known")
    assert (letter.pdf_size or 0) > 1000
    page = text_of(desk.get(reverse("upkeep:letters")))
    assert "not signed: the shop has no certificate" in page
    pdf = desk.get(reverse("upkeep:letter_pdf", args=[letter.pk]))
    assert pdf["Content-Type"] == "application/pdf"
    with pikepdf.open(io.BytesIO(pdf.content)) as opened:
        assert opened.Root.AF[0].EF.F.read_bytes().decode() == letter.record
    # a letter that was written is no reminder yet; and no second one is written beside it
    assert not Reminder.objects.exists()
    page = text_of(desk.get(reverse("upkeep:reminders")))
    assert "was not sent yet" in page
    assert f"Letter to {cast.customer}" not in page
    with pytest.raises(Refused, match="was not sent yet"):
        write_letters(by=cast.desk, customers=[cast.customer])
    desk.post(reverse("upkeep:letters_sent"), {"letter": letter.pk, "entry_id": str(uuid.uuid4())})
    notes = Reminder.objects.order_by("pk")
    assert [(note.way, note.letter_id, note.vessel.name) for note in notes] == [
        ("letter", letter.pk, boat["name"]) for boat in record["boats"]
    ]
    assert any(note.told.startswith("Oil and filter (Port · Norrland D6T-370): overdue. ") for note in notes)
    assert note_letters_sent(by=cast.desk, letters=[letter]) == [], "it was sent once"
    page = text_of(desk.get(reverse("upkeep:reminders")))
    assert f"last reminded {date_words(timezone.localdate())}, Dora Quill wrote a letter" in page


def test_several_at_once_or_none_at_all(cast, fleet):
    until = timezone.localdate() + timedelta(days=90)
    made = write_letters(by=cast.desk, customers=[fleet["wes"], fleet["ida"]], until=until)
    assert len(made) == 2
    coming = json.loads(ReminderLetter.objects.get(customer=fleet["ida"]).record)
    (service,) = coming["boats"][0]["services"]
    assert (service["stands"], service["day"]) == ("Coming up", date_words(timezone.localdate() + timedelta(days=60)))
    for letter in made:
        discard_letter(by=cast.desk, letter=letter)
    with pytest.raises(Refused, match="Nothing is due for Sol"):
        write_letters(by=cast.desk, customers=[fleet["wes"], fleet["sol"]], until=until)
    Customer.objects.filter(pk=fleet["wes"].pk).update(address="\U00013000 Quay")
    with pytest.raises(Refused, match="no characters for"):
        write_letters(by=cast.desk, customers=[fleet["ida"], fleet["wes"]], until=until)
    assert ReminderLetter.objects.count() == 2
    with pytest.raises(Refused, match="was discarded"):
        note_letters_sent(by=cast.desk, letters=made)
    with pytest.raises(Refused, match="Choose who"):
        write_letters(by=cast.desk, customers=[])


def test_a_letter_that_cannot_be_drawn_says_why_and_is_drawn_later(
    cast, fleet, monkeypatch, django_capture_on_commit_callbacks
):
    from files.paper.drawing import RenderingFailed, Stationery

    def broken(shop: object) -> Stationery:
        raise RenderingFailed("The letterhead's logo is missing.")

    with monkeypatch.context() as patch, django_capture_on_commit_callbacks(execute=True):
        patch.setattr(Stationery, "of_shop", broken)
        (letter,) = write_letters(by=cast.desk, customers=[cast.customer])
    desk = signed_in(cast.desk)
    assert "The letterhead's logo is missing." in text_of(desk.get(reverse("upkeep:letters")))
    with pytest.raises(Refused, match="not drawn yet"):
        note_letters_sent(by=cast.desk, letters=[letter])
    with django_capture_on_commit_callbacks(execute=True):
        desk.post(reverse("upkeep:letter_again", args=[letter.pk]), {"entry_id": str(uuid.uuid4())})
    letter.refresh_from_db()
    assert (letter.problem, bool(letter.pdf_sha256)) == ("", True)


def test_nobody_is_reminded_twice_by_mistake(cast, fleet):
    seen = Reminder.objects.count()
    note_reminder(by=cast.desk, customer=cast.customer, vessels=[cast.vessel], way="call", last_seen=seen)
    with pytest.raises(Refused, match=r"was reminded since you opened the list: on .* Dora Quill called"):
        note_reminder(by=cast.owner, customer=cast.customer, vessels=[cast.vessel], way="call", last_seen=seen)
    with pytest.raises(Refused, match="was reminded since you opened the list"):
        write_letters(by=cast.owner, customers=[cast.customer], last_seen=seen)
    now = Reminder.objects.latest("pk").pk
    write_letters(by=cast.owner, customers=[cast.customer], last_seen=now)
    note_reminder(by=cast.desk, customer=cast.customer, vessels=[cast.vessel], way="call", last_seen=now)
    assert "Reminded since:" in text_of(signed_in(cast.desk).get(reverse("upkeep:letters")))
    stranger = Vessel.objects.exclude(owner=cast.customer).first()
    with pytest.raises(Refused, match="not Wes Harrow’s boat"):
        note_reminder(by=cast.desk, customer=cast.customer, vessels=[stranger], way="call")


def test_who_wants_none_gets_none(cast, fleet):
    desk = signed_in(cast.desk)
    desk.post(
        reverse("upkeep:wish", args=[cast.customer.pk]),
        {"wants": "no", "remark": "Does it himself", "entry_id": str(uuid.uuid4())},
    )
    page = text_of(desk.get(reverse("upkeep:reminders")))
    assert "Nobody to call" in page
    assert "Want no reminders" in page
    assert "Dora Quill: Does it himself" in page
    with pytest.raises(Refused, match="wants no reminders"):
        write_letters(by=cast.desk, customers=[cast.customer])
    assert "Wants none." in text_of(desk.get(reverse("vessels:customer", args=[cast.customer.pk])))
    note_reminder_wish(by=cast.desk, customer=cast.customer, wants=True)
    assert [one.owner for one in to_remind()] == [cast.customer]


def test_what_is_on_an_open_job_is_not_asked_for(cast, fleet, job):
    line = job.lines.get()
    adoption = cast.port.adoptions.get()
    type(line).objects.filter(pk=line.pk).update(engine=cast.port)
    line.refresh_from_db()
    plan_line(by=cast.desk, line=line, adoption=adoption)
    (one,) = to_remind()
    assert [boat.vessel for boat in one.boats] == ["Tender"], "the boat is here, and its service is on the job"


def test_the_list_by_a_day_and_as_a_table(cast, fleet):
    desk, today = signed_in(cast.desk), timezone.localdate()
    far = (today + timedelta(days=90)).isoformat()
    page = text_of(desk.get(reverse("upkeep:reminders"), {"until": far}))
    assert "2 owners" in page
    assert f"due by {date_words(today + timedelta(days=90))}" in page
    for wrong in ["tomorrow", "2001-01-01", "9999-12-31"]:
        page = text_of(desk.get(reverse("upkeep:reminders"), {"until": wrong}))
        assert "1 owner" in page, wrong
        assert any(word in page for word in ("a day to come", "YYYY-MM-DD", "Enter a", "two years")), wrong
    rows = list(
        csv.DictReader(io.StringIO(desk.get(reverse("upkeep:reminders_csv"), {"until": far}).getvalue().decode()))
    )
    told = {(row["owner"], row["service"], row["stands"], row["as of"], row["due until"]) for row in rows}
    assert told == {
        ("Wes Harrow", "Oil and filter", "Overdue", today.isoformat(), far),
        ("Wes Harrow", "Impeller", "Not known", today.isoformat(), far),
        ("Wes Harrow", "Impeller", "Overdue", today.isoformat(), far),
        ("Ida", "Impeller", "Coming up", today.isoformat(), far),
    }
    assert {row["last reminded on"] for row in rows} == {""}


def test_the_mail_says_what_the_letter_says(cast, fleet):
    cast.customer.emails.create(address="wes+boat@example.com")
    page = signed_in(cast.desk).get(reverse("upkeep:reminders"))
    tree = lxml.html.fromstring(page.content.decode())
    (mail,) = tree.xpath("//textarea[starts-with(@id, 'mail-')]/text()")
    assert mail.strip().startswith("Dear Wes Harrow,")
    assert "- Oil and filter, Port · Norrland D6T-370, every 100 h or 12 months: overdue (" in mail
    assert "Of this we do not know where it stands:" in mail
    assert "The maker’s current manual decides." in mail
    (address,) = tree.xpath("//a[starts-with(@href, 'mailto:')]/@href")
    # RFC 6068, section 2: percent-encoded UTF-8, lines parted by %0D%0A; a plus in an address is a plus
    assert " " not in address
    assert unquote(urlsplit(address).path) == "wes+boat@example.com"
    said = parse_qs(urlsplit(address).query)
    assert said["subject"] == ["Service due: 2 boats"]
    message = EmailMessage()
    message["Subject"], message["To"] = said["subject"][0], "wes+boat@example.com"
    if "body" in said:
        assert said["body"][0].replace("\r\n", "\n").strip() == mail.strip()
    assert len(address) <= 1900


def test_what_another_floor_tells_stands_with_it(cast, fleet, monkeypatch):
    monkeypatch.setattr(besides._sections, "_pieces", {})
    section = besides.Besides("late", "Put off", lambda boats: {boats[0]: ["Zincs, Oct 2, 2026."], boats[-1]: []})
    besides.register(section)
    assert "Put off" in text_of(signed_in(cast.desk).get(reverse("upkeep:reminders")))
    (letter,) = write_letters(by=cast.desk, customers=[cast.customer])
    told = [boat["besides"] for boat in json.loads(letter.record)["boats"]]
    assert sorted(told, key=len) == [[], [{"title": "Put off", "sentences": ["Zincs, Oct 2, 2026."]}]]


def test_technicians_see_the_list_and_write_nothing(cast, fleet):
    tech = signed_in(cast.tech)
    page = text_of(tech.get(reverse("upkeep:reminders")))
    assert "Write letters" not in page
    assert tech.get(reverse("upkeep:letters")).status_code == 403
    assert tech.post(reverse("upkeep:letters_write"), {"customer": cast.customer.pk}).status_code == 403
