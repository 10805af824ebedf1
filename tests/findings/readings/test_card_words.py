"""What a card is called and for which engines it is has a history, as its limits have: who, when, from what to what."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import Error, transaction
from django.urls import reverse
from django.utils import timezone

from findings.readings.actions import NewLimit, add_card, change_card
from findings.readings.models import CardWords, Parameter, SpecCard
from findings.readings.revising import all_words, changes_of_words, words_on
from tests.cast import Cast
from vessels.models import EngineFamily

pytestmark = pytest.mark.django_db


@pytest.fixture
def limits(db: None) -> list[NewLimit]:
    return [NewLimit(Parameter.objects.get(name="Oil pressure"), "psi", "warm", low=Decimal(40))]


@pytest.fixture
def card(cast: Cast, limits: list[NewLimit]) -> SpecCard:
    return add_card(by=cast.tech, family=cast.family, title="Warm", document="Manual", limits=limits)


def told(card: SpecCard) -> list[tuple[str, str, str, str]]:
    return [(one.by, one.what, one.before, one.after) for one in changes_of_words(all_words(card))]


def test_what_was_changed_is_told_with_who(cast, card, limits):
    assert told(card) == []
    change_card(by=cast.manager, card=card, changes={"title": "Hot", "engine_models": "D6T-370"}, limits=limits)
    change_card(by=cast.tech, card=card, changes={"year_from": 2010, "notes": "By ear."}, limits=limits)
    change_card(by=cast.tech, card=card, changes={"notes": "", "serial_to": "NL-9"}, limits=limits)
    assert told(card) == [
        (cast.tech.name, "Only for", "model D6T-370; years from 2010",
         "model D6T-370; years from 2010; serial numbers up to NL-9"),
        (cast.tech.name, "Notes", "By ear.", ""),
        (cast.tech.name, "Only for", "model D6T-370", "model D6T-370; years from 2010"),
        (cast.tech.name, "Notes", "", "By ear."),
        (cast.manager.name, "Title", "Warm", "Hot"),
        (cast.manager.name, "Only for", "every engine of the family", "model D6T-370"),
    ]  # fmt: skip


def test_another_family_and_another_document_are_told(cast, card, limits):
    other = EngineFamily.objects.create(maker="Norrland", name="Other")
    change_card(by=cast.tech, card=card, changes={"family": other, "document": "Manual, ed. 2"}, limits=limits)
    assert [one[1:] for one in told(card)] == [
        ("Engine family", str(cast.family), "Norrland Other"), ("Taken from", "Manual", "Manual, ed. 2"),
    ]  # fmt: skip


def test_what_stays_as_it_is_leaves_no_trace(cast, card, limits):
    change_card(by=cast.tech, card=card, changes={"title": "Warm"}, limits=limits)
    change_card(
        by=cast.tech, card=card, changes={}, limits=[*limits, NewLimit(limits[0].parameter, "psi", low=Decimal(1))]
    )
    assert CardWords.objects.count() == 1
    assert told(card) == []


def test_nobody_rewrites_it(card):
    for act in (lambda: CardWords.objects.update(title="Cold"), lambda: CardWords.objects.all().delete()):
        with pytest.raises(Error), transaction.atomic():
            act()
    assert CardWords.objects.get().title == "Warm"


def test_the_page_shows_it_and_the_words_of_a_day(cast, client, limits, card):
    earlier = timezone.now() - timedelta(days=10)
    old = SpecCard.objects.create(
        family=cast.family, title="Now", document="Manual", engine_models="D6T-270", notes="New."
    )
    old.limits.create(parameter=limits[0].parameter, unit="psi", low=Decimal(40), begun_at=earlier - timedelta(days=5))
    said = {"card": old, "family": cast.family, "document": "Manual"}
    CardWords.objects.create(**said, title="Then", engine_models="D6T-370", notes="Old.", said_at=earlier)
    CardWords.objects.create(**said, title="Now", engine_models="D6T-270", notes="New.", said_by=cast.manager)
    client.force_login(cast.tech)
    at = reverse("findings:card", args=[old.pk])
    page = client.get(at).content.decode()
    assert all(one in page for one in ("Then", "model D6T-370", "Old.", cast.manager.name, "Only for model D6T-270."))

    def on(days: int) -> str:
        day = timezone.localdate() - timedelta(days=days)
        return client.get(at, {"on": day.isoformat()}).content.decode()

    assert "The card was called “Then” then." in on(3)
    assert "Only for model D6T-370." in on(3)
    assert "Only for model D6T-270." not in on(3)
    assert '<p class="written">Old.</p>' in on(3)
    unknown = on(12)
    assert "What the card was called then, and for which engines it was, is not kept." in unknown
    assert "Only for model" not in unknown
    assert '<p class="written">' not in unknown
    assert "Nothing is kept of this card before" in on(30)


def test_the_words_of_a_day_are_the_last_of_it(card):
    words = all_words(card)
    today = timezone.localdate()
    assert words_on(words, today) == words[0]
    assert words_on(words, today - timedelta(days=1)) is None
