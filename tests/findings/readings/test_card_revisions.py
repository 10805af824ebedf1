"""A limit of a spec card is revised and never overwritten; what was judged by it points to the limit of its day."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import Error, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Conflict, Refused
from findings.readings.actions import NewLimit, add_card, change_card, log_reading
from findings.readings.models import Parameter, Reading, SpecCard, SpecLimit
from findings.readings.revising import limit_words, revision_words, source_words
from tests.cast import Cast
from vessels.log.chain import row_facts
from vessels.log.verify import broken_link

DAY = datetime(2026, 3, 3, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"low": "40", "high": "70"}, "40 to 70 psi, near within 10 % of the band"),
        ({"low": "40.5000", "high": "70", "nominal": "55"},
         "40.5 to 70 psi, nominal 55 psi, near within 10 % of the band"),
        ({"low": "40"}, "at least 40 psi, near within 10 % of the limit"),
        ({"high": "2.5", "near": "0"}, "at most 2.5 psi, near only on the limit itself"),
        ({"low": "-5", "high": "-5"}, "-5 to -5 psi, near within 10 % of the band"),
        ({"low": "0", "near": "50.00"}, "at least 0 psi, near within 50 % of the limit"),
        ({"low": "0.0001", "near": "12.5"}, "at least 0.0001 psi, near within 12.5 % of the limit"),
        ({"high": "900000"}, "at most 900000 psi, near within 10 % of the limit"),
    ],
)  # fmt: skip
def test_a_limit_in_words(given: dict[str, str], words: str) -> None:
    figures = {name: Decimal(given[name]) if name in given else None for name in ("low", "nominal", "high")}
    assert limit_words(SpecLimit(unit="psi", near_percent=Decimal(given.get("near", "10")), **figures)) == words


@pytest.mark.parametrize(
    ("document", "source", "page", "words"),
    [
        ("Manual, ed. 4", "", "", "Manual, ed. 4"),
        ("Manual, ed. 4", "Bulletin 7", "", "Bulletin 7"),
        ("Manual, ed. 4", "Bulletin 7", "41", "Bulletin 7, page 41"),
        ("Manual, ed. 4", "", "41-43", "Manual, ed. 4, page 41-43"),
        ("Manual, ed. 4", "", "p. 41", "Manual, ed. 4, p. 41"),
        ("Manual, ed. 4", "", "fig. 3-2", "Manual, ed. 4, fig. 3-2"),
        ("Manual, ed. 4", "", "4A", "Manual, ed. 4, page 4A"),
        ("Manual.", "", "xiv", "Manual, xiv"),
    ],
)
def test_a_source_in_words(document: str, source: str, page: str, words: str) -> None:
    assert source_words(SpecLimit(card=SpecCard(document=document), source=source, page=page)) == words


def limit_then(**given: Any) -> SpecLimit:
    return SpecLimit(unit="psi", low=Decimal(40), near_percent=Decimal(10), **given)


@pytest.mark.parametrize(
    ("ended", "who", "next_one", "words"),
    [
        (None, None, None, ""),
        (DAY, "Gail", None, "Judged by a limit that Gail removed from the card on Mar 3, 2026."),
        (DAY, "Gail", limit_then(),
         "Judged by a limit that Gail changed on Mar 3, 2026, to at least 40 psi, near within 10 % of the limit."),
        (DAY, "", None, "Judged by a limit that was removed from the card on Mar 3, 2026."),
        (DAY, "", limit_then(),
         "Judged by a limit that was changed on Mar 3, 2026, to at least 40 psi, near within 10 % of the limit."),
    ],
)  # fmt: skip
def test_what_became_of_the_limit_that_judged(
    ended: datetime | None, who: str | None, next_one: SpecLimit | None, words: str
) -> None:
    assert revision_words(ended, who or "", next_one) == words


@pytest.fixture
def oil(db: None) -> Parameter:
    return Parameter.objects.get(name="Oil pressure")


def rows(oil: Parameter, low: str = "40", **given: Any) -> list[NewLimit]:
    return [NewLimit(parameter=oil, unit="psi", condition="warm", low=Decimal(low), high=Decimal(70), **given)]


@pytest.fixture
def card(cast: Cast, oil: Parameter) -> SpecCard:
    return add_card(by=cast.tech, family=cast.family, title="Warm", document="Manual, ed. 4", limits=rows(oil))


def measured(cast: Cast, oil: Parameter, value: str = "50") -> Reading:
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=oil, value=Decimal(value), unit="psi",
        condition="warm",
    )  # fmt: skip


@pytest.mark.django_db
class TestRevising:
    def test_a_changed_limit_ends_and_another_begins(self, cast, oil, card):
        first = card.limits.get()
        assert (first.begun_by, first.ended_at, first.source) == (cast.tech, None, "Manual, ed. 4")
        before = timezone.now()
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60", page="112"))
        first.refresh_from_db()
        second = card.limits.get(ended_at=None)
        assert (first.low, first.ended_by) == (Decimal(40), cast.manager)
        assert before <= first.ended_at == second.begun_at
        assert (second.low, second.page, second.replaces, second.begun_by) == (60, "112", first, cast.manager)

    def test_what_is_not_changed_goes_on(self, cast, oil, card):
        first = card.limits.get()
        change_card(by=cast.manager, card=card, changes={"title": "Hot"}, limits=rows(oil, "40.0"))
        assert list(card.limits.all()) == [first]
        assert card.limits.get().ended_at is None

    def test_another_document_is_another_limit_where_the_row_names_none(self, cast, oil, card):
        change_card(by=cast.manager, card=card, changes={"document": "Manual, ed. 5"}, limits=rows(oil))
        assert card.limits.order_by("pk").values_list("source", flat=True)[0] == "Manual, ed. 4"
        assert card.limits.get(ended_at=None).source == "Manual, ed. 5"
        change_card(by=cast.manager, card=card, changes={"document": "Ed. 6"}, limits=rows(oil, source="Manual, ed. 5"))
        assert card.limits.count() == 2

    def test_a_removed_one_ends_and_nothing_follows(self, cast, oil, card):
        others = [NewLimit(parameter=oil, unit="psi", condition="cold", low=Decimal(50))]
        change_card(by=cast.manager, card=card, changes={}, limits=others)
        assert card.limits.get(condition="warm").ended_by == cast.manager
        assert card.limits.get(condition="cold").replaces is None
        assert measured(cast, oil).verdict == "no limits"

    def test_a_reading_points_to_the_limit_of_its_day(self, cast, oil, card):
        first, reading = card.limits.get(), measured(cast, oil)
        assert reading.judged_by == first
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60"))
        reading.refresh_from_db()
        assert (reading.judged_by, reading.verdict, reading.low) == (first, "in range", Decimal(40))
        later = measured(cast, oil)
        assert (later.judged_by, later.verdict) == (card.limits.get(ended_at=None), "out")
        assert measured(cast, Parameter.objects.exclude(pk=oil.pk).filter(kind=oil.kind).first()).judged_by is None

    def test_a_limit_that_ended_judges_nothing_however_it_is_named(self, cast, oil, card):
        first = card.limits.get()
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60"))
        with pytest.raises(Refused, match="changed meanwhile"):
            log_reading(
                by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=oil, value=Decimal(50), unit="psi",
                limit=SpecLimit.objects.get(pk=first.pk),
            )  # fmt: skip

    def test_the_digest_covers_the_pointer_and_an_entry_without_it_is_as_before(self, cast, oil, card):
        reading = measured(cast, oil)
        assert row_facts(reading)["judged_by_id"] == card.limits.get().pk
        assert "judged_by_id" not in row_facts(Reading(parameter=oil, value=Decimal(1), unit="psi"))
        assert broken_link(cast.vessel) is None

    def test_the_database_refuses_what_would_overwrite(self, cast, oil, card):
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60"))
        for attempt in (
            lambda: card.limits.filter(ended_at=None).update(low=Decimal(1)),
            lambda: card.limits.exclude(ended_at=None).update(ended_at=None),
            lambda: card.limits.filter(ended_at=None).delete(),
        ):
            with pytest.raises(Error, match="append"), transaction.atomic():
                attempt()

    def test_two_rows_for_one_thing_are_refused(self, cast, oil, card):
        twice = [*rows(oil), NewLimit(parameter=oil, unit="psi", condition=" WARM ", low=Decimal(5))]
        with pytest.raises(Refused, match="Row 2, Oil pressure: row 1 is for the same under the same condition"):
            change_card(by=cast.manager, card=card, changes={}, limits=twice)
        assert card.limits.count() == 1

    def test_of_two_people_the_second_is_told(self, cast, oil, card):
        seen = card.version
        change_card(by=cast.manager, card=card, seen_version=seen, changes={}, limits=rows(oil, "60"))
        with pytest.raises(Conflict) as conflict:
            change_card(by=cast.tech, card=card, seen_version=seen, changes={}, limits=rows(oil, "45"))
        assert conflict.value.by == cast.manager.name
        assert conflict.value.theirs == {
            "Oil pressure, warm": "60 to 70 psi, near within 10 % of the band; Manual, ed. 4"
        }
        assert conflict.value.mine == {
            "Oil pressure, warm": "45 to 70 psi, near within 10 % of the band; Manual, ed. 4"
        }
        change_card(by=cast.tech, card=card, seen_version=seen, changes={}, limits=rows(oil, "60"))
        assert card.limits.count() == 2


@pytest.mark.django_db
class TestPages:
    def page(self, client, card: SpecCard, **asked: str) -> str:
        answer = client.get(reverse("findings:card", args=[card.pk]), asked)
        assert answer.status_code == 200
        return answer.content.decode()

    def test_the_card_says_who_changed_what(self, client, cast, oil, card):
        client.force_login(cast.tech)
        page = self.page(client, card)
        assert "40 to 70 psi" in page
        assert "Nothing was changed since." in page
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60"))
        page = self.page(client, card)
        assert "60 to 70 psi" in page
        assert cast.manager.name in page
        assert "40 to 70 psi, near within 10 % of the band; Manual, ed. 4" in page
        change_card(
            by=cast.manager, card=card, changes={},
            limits=[NewLimit(parameter=oil, unit="psi", condition="cold", low=Decimal(50))],
        )  # fmt: skip
        page = self.page(client, card)
        assert "removed" in page
        assert "added" in page

    def test_the_card_as_it_was_on_a_day(self, client, cast, oil, card):
        client.force_login(cast.tech)
        now = timezone.now()
        SpecLimit.objects.bulk_create(
            [
                SpecLimit(card=card, parameter=oil, condition="cold", unit="psi", low=Decimal(31), source="Ed. 3",
                          begun_at=now - timedelta(days=20), ended_at=now - timedelta(days=10),
                          begun_by=cast.tech, ended_by=cast.manager),
            ]
        )  # fmt: skip
        on = timezone.localdate(now - timedelta(days=15)).isoformat()
        assert "at least 31 psi" in (page := self.page(client, card, on=on))
        assert "40 to 70 psi" not in page.split("Changes</h2>")[0]
        before = timezone.localdate(now - timedelta(days=30)).isoformat()
        assert "Nothing is kept of this card before" in self.page(client, card, on=before)
        none = timezone.localdate(now - timedelta(days=5)).isoformat()
        assert "The card had no limit on that day." in self.page(client, card, on=none)
        for odd in ("yesterday", "2026-02-31", "\0", "9999-12-31"):
            assert "40 to 70 psi" in self.page(client, card, on=odd)

    def test_the_reading_says_what_became_of_its_limit(self, client, cast, oil, card):
        client.force_login(cast.tech)
        reading = measured(cast, oil)
        history = reverse("findings:parameter_history", args=[cast.vessel.pk, oil.pk]) + f"?engine={cast.port.pk}"
        entry = reverse("vessels:entry", args=[reading.pk])
        said = f"Judged by a limit that {cast.manager.name} changed on"
        for address in (history, entry):
            assert said not in client.get(address).content.decode()
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60"))
        for address in (history, entry):
            page = client.get(address).content.decode()
            assert said in page, address
            assert "to 60 to 70 psi, near within 10 % of the band." in page
            assert reverse("findings:card", args=[card.pk]) in page

    def test_pages_ask_no_more_however_much_was_changed(self, client, cast, oil, card):
        client.force_login(cast.tech)
        asked = []
        history = reverse("findings:parameter_history", args=[cast.vessel.pk, oil.pk]) + f"?engine={cast.port.pk}"
        for first in (41, 45):
            for low in range(first, first + 3):
                measured(cast, oil)
                change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, str(low)))
            counts = []
            for address in (reverse("findings:card", args=[card.pk]), history, reverse("findings:cards")):
                client.get(address)
                with CaptureQueriesContext(connection) as queries:
                    client.get(address)
                counts.append(len(queries))
            asked.append(counts)
        assert asked[0] == asked[1]

    def test_a_stale_tab_is_shown_both(self, client, cast, oil, card):
        client.force_login(cast.tech)
        address = reverse("findings:card_change", args=[card.pk])
        form = client.get(address).context["form"]
        sent = {
            "family": cast.family.pk, "title": "Warm", "document": "Manual, ed. 4",
            "seen_version": form["seen_version"].value(), "limits-TOTAL_FORMS": "1", "limits-INITIAL_FORMS": "0",
            "limits-0-parameter": oil.name, "limits-0-condition": "warm", "limits-0-low": "45", "limits-0-high": "70",
            "limits-0-unit": "psi",
        }  # fmt: skip
        change_card(by=cast.manager, card=card, changes={}, limits=rows(oil, "60"))
        answer = client.post(address, sent)
        page = answer.content.decode()
        assert answer.status_code == 409
        assert f"{cast.manager.name} saved this while you were writing" in page
        assert "60 to 70 psi" in page
        assert "45 to 70 psi" in page
        assert card.limits.get(ended_at=None).low == 60
        again = sent | {"seen_version": answer.context["form"]["seen_version"].value()}
        assert client.post(address, again).status_code == 302
        assert card.limits.get(ended_at=None).low == 45
