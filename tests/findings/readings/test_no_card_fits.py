"""Where nothing judges a value, or two cards differ, that is said on the sheet, in lists and in the log."""

from __future__ import annotations

import html
from datetime import timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from commands.replay import queued, replay
from findings.readings.actions import NewLimit, add_card, change_card, log_reading
from findings.readings.choosing import limit_for
from findings.readings.models import Parameter, Reading, SpecCard
from findings.readings.queries import reading_row
from tests.cast import Cast
from vessels.log.verify import broken_link
from vessels.models import Engine, EngineFamily
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil(db: None) -> Parameter:
    return Parameter.objects.get(name="Oil pressure")


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil pressure"])


def add(cast: Cast, title: str, low: str, *, condition: str = "warm", **scope: Any) -> SpecCard:
    oil = Parameter.objects.get(name="Oil pressure")
    limits = [NewLimit(oil, "psi", condition, Decimal(low), None, Decimal(45))]
    return add_card(by=cast.tech, family=cast.family, title=title, document="Manual", limits=limits, **scope)


def measured(cast: Cast, oil: Parameter, condition: str = "warm", **given: Any) -> Reading:
    return log_reading(by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=oil, value=Decimal(20), unit="psi",
                       condition=condition, **given)  # fmt: skip


@pytest.mark.parametrize(
    ("cards", "engine", "said"),
    [
        ([], {}, "No spec card of Norrland D6T has limits of it."),
        ([], {"family": None}, "The family of this engine is not entered, so no spec card is known for it."),
        ([("One", "15", {"engine_models": "D6T-270"})], {},
         "“One” is for model D6T-270; this engine’s model is D6T-370."),
        ([("One", "15", {"year_from": 2015})], {},
         "“One” is for years from 2015; the year of this engine is not entered."),
        ([("One", "15", {"year_from": 2015})], {"year": 2010}, "“One” is for years from 2015; this engine is of 2010."),
        ([("One", "15", {"serial_from": "NL-9"})], {"serial": ""},
         "“One” is for serial numbers from NL-9; the serial number of this engine is not entered."),
        ([("One", "15", {"condition": "cold"})], {}, "Limits of it are only for “cold”."),
        ([("One", "15", {}), ("Two", "25", {})], {},
         "“One” has 15 to 45 psi, “Two” has 25 to 45 psi: they differ, so neither judges it."),
        ([("One", "15", {}), ("Two", "25", {}), ("Three", "15", {})], {},
         "“One” has 15 to 45 psi, “Two” has 25 to 45 psi, “Three” has 15 to 45 psi: they differ, so none judges it."),
        ([("One", "15", {}), ("Two", "15", {})], {}, ""),
        ([("One", "15", {"condition": ""}), ("Two", "25", {"condition": ""})], {},
         "“One” has 15 to 45 psi, “Two” has 25 to 45 psi: they differ, so neither judges it."),
        ([(f"Card {n}", "15", {"year_from": 2000 + n}) for n in range(5)], {"year": 1990},
         "“Card 0” is for years from 2000; this engine is of 1990. “Card 1” is for years from 2001; this engine is of "
         "1990. “Card 2” is for years from 2002; this engine is of 1990. 2 more are not for it either."),
    ],
)  # fmt: skip
def test_why_nothing_judges_is_kept_and_told(cast, oil, client, cards, engine, said) -> None:
    for title, low, scope in cards:
        add(cast, title, low, **scope)
    Engine.objects.filter(pk=cast.port.pk).update(**engine)
    cast.port.refresh_from_db()
    reading = measured(cast, oil)
    assert (reading.limits_remark or "") == said
    assert (reading.judged_by is None) == bool(said)
    # what changes later makes no other sentence of it
    SpecCard.objects.update(title="Renamed", engine_models="", year_from=None)
    row = reading_row(Reading.objects.get(pk=reading.pk))
    assert row.remark_then == (f"When it was logged: {said}" if said else "")
    client.force_login(cast.tech)
    for at in (
        reverse("findings:vessel_readings", args=[cast.vessel.pk]),
        reverse("findings:parameter_history", args=[cast.vessel.pk, oil.pk]) + f"?engine={cast.port.pk}",
        reverse("vessels:entry", args=[reading.pk]),
    ):
        page = html.unescape(client.get(at).content.decode())
        assert (f"When it was logged: {said}" in page) == bool(said), at
    assert broken_link(cast.vessel) is None


def test_the_one_that_was_used_and_the_one_that_differs_are_both_named(cast, oil, job, client) -> None:
    first, second = add(cast, "First", "15"), add(cast, "Second", "25")
    client.force_login(cast.tech)
    at = reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}"
    page = client.get(at).content.decode()
    assert "“Second” has 25 to 45 psi for the same." in page
    assert "“First” has 15 to 45 psi for the same." in page
    limit = second.limits.get()
    sent = {f"limit-{limit.pk}-value": "20", f"limit-{limit.pk}-unit": "psi", "phase": "arrival"}
    assert client.post(at, sent).status_code == 302
    reading = Reading.objects.get()
    assert (reading.judged_by, reading.verdict) == (limit, "out")
    assert reading.limits_remark == "“First” has 15 to 45 psi for the same."
    assert (
        "When it was logged: “First” has 15 to 45 psi for the same."
        in client.get(reverse("findings:job", args=[job.number])).content.decode()
    )
    assert first.limits.get().ended_at is None


def test_same_ends_that_differ_otherwise_are_told_in_full(cast, oil) -> None:
    add(cast, "First", "15")
    add_card(by=cast.tech, family=cast.family, title="Second", document="M",
             limits=[NewLimit(oil, "psi", "warm", Decimal(15), Decimal(20), Decimal(45), Decimal(5))])  # fmt: skip
    _, said = limit_for(cast.port, oil, "warm")
    assert said == (
        "“First” has 15 to 45 psi, near within 10 % of the band, “Second” has 15 to 45 psi, nominal 20 psi, near "
        "within 5 % of the band: they differ, so neither judges it."
    )


def test_under_conditions_in_columns_the_sheet_says_that_cards_differ(cast, oil, job, client) -> None:
    add(cast, "First", "15")
    add(cast, "Second", "25")
    client.force_login(cast.tech)
    at = reverse("findings:job_readings", args=[job.number])
    page = client.get(at, {"engine": cast.port.pk, "under": ["warm", "cold"]}).content.decode()
    assert page.count("they differ, so neither judges it.") == 1
    assert "No spec card for this engine" not in page


def test_a_row_of_a_card_for_another_engine_says_so(cast, oil, job, client) -> None:
    add(cast, "Smaller", "15", engine_models="D6T-270")
    cold = Parameter.objects.get(name="Coolant temperature")
    add_card(by=cast.tech, family=cast.family, title="All", document="M",
             limits=[NewLimit(cold, "degF", high=Decimal(190))])  # fmt: skip
    client.force_login(cast.tech)
    at = reverse("findings:job_readings", args=[job.number])
    page = client.get(at, {"engine": cast.port.pk, "line": oil.pk}).content.decode()
    assert "“Smaller” is for model D6T-270; this engine’s model is D6T-370." in page
    assert "No spec card for this engine" not in page


class TestOpenedBeforeARevision:
    """A sheet was opened, the card was revised, then a value is typed and sent."""

    @pytest.fixture
    def card(self, cast: Cast) -> SpecCard:
        return add(cast, "First", "15")

    def revise(self, cast: Cast, card: SpecCard, oil: Parameter, low: str | None) -> None:
        limits = [NewLimit(oil, "psi", "warm" if low else "cold", Decimal(low or "1"), None, Decimal(45))]
        change_card(by=cast.manager, card=card, changes={}, limits=limits)

    @pytest.mark.parametrize(("low", "verdict"), [("30", "out"), (None, "no limits")])
    def test_what_is_said_while_typing_and_after_is_of_now(self, cast, oil, job, client, card, low, verdict) -> None:
        client.force_login(cast.tech)
        at = reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}"
        cell = client.get(at).context["sheet"].cells[0]
        typed = {f"{cell.prefix}-value": "20", f"{cell.prefix}-unit": "psi"}
        self.revise(cast, card, oil, low)
        page = html.unescape(client.get(f"{cell.judged_at}&{urlencode(typed)}").content.decode())
        if low:
            assert "other limits judge it: 30 to 45 psi, near within 10 % of the band." in page
            assert "10 psi below the band" in page
        else:
            assert "nothing else does" in page
            assert "in range" not in page
        sent = typed | {"phase": "arrival", f"{cell.prefix}-of": f"{oil.pk}:warm"}
        answer = client.post(at, sent, follow=True)
        told = [str(one) for one in answer.context["messages"]]
        now = "It was judged by 30 to 45 psi, near within 10 % of the band." if low else "Nothing judged it."
        assert told[1] == (
            "Oil pressure, warm: the limits of its row (15 to 45 psi, near within 10 % of the band) do not judge it "
            f"now. {now}"
        )
        reading = Reading.objects.get()
        assert (reading.verdict, reading.judged_by) == (verdict, card.limits.filter(ended_at=None, low=30).first())

    def test_sent_before_and_once_more_after_it_is_told_as_it_was_judged(self, cast, oil, job, client, card) -> None:
        client.force_login(cast.tech)
        at = reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}"
        page = client.get(at)
        cell, entry = page.context["sheet"].cells[0], page.context["sheet"].common["entry_id"].value()
        sent = {f"{cell.prefix}-value": "20", f"{cell.prefix}-unit": "psi", "phase": "arrival", "entry_id": str(entry)}
        assert client.post(at, sent).status_code == 302
        self.revise(cast, card, oil, "30")
        answer = client.post(at, sent, follow=True)
        told = [str(one) for one in answer.context["messages"]]
        assert told[-1].startswith("1 reading logged. Oil pressure: 20 psi, in range")
        assert not any("do not judge it now" in one for one in told)
        assert Reading.objects.get().judged_by.low == 15

    def test_read_before_and_sent_after_says_that_the_limit_is_younger(self, cast, oil, client, card) -> None:
        self.revise(cast, card, oil, "30")
        late = measured(cast, oil, happened_at=timezone.now() - timedelta(days=2))
        fresh = measured(cast, oil)
        assert (late.verdict, late.judged_by.low) == ("out", 30)
        day = reading_row(late).revised
        assert day.startswith("Read before its limit was on the card: that was entered on ")
        assert reading_row(fresh).revised == ""
        client.force_login(cast.tech)
        assert day in client.get(reverse("vessels:entry", args=[late.pk])).content.decode()
        assert "Read before" not in client.get(reverse("vessels:entry", args=[fresh.pk])).content.decode()
        self.revise(cast, card, oil, "31")
        both = reading_row(Reading.objects.get(pk=late.pk)).revised
        assert both.startswith(f"{day} Judged by a limit that {cast.manager.name} changed on ")

    @pytest.mark.parametrize("revised_first", [True, False])
    def test_queued_without_a_network_it_is_judged_when_it_comes(self, cast, oil, card, revised_first) -> None:
        written = timezone.now() - timedelta(hours=3)
        act = queued(
            "log_reading", by=cast.tech, at=written, entry_id=uuid4(), device="bay 2", vessel=cast.vessel,
            engine=cast.port, parameter=oil, value=Decimal(20), unit="psi", condition="warm",
        )  # fmt: skip
        if revised_first:
            self.revise(cast, card, oil, "30")
        reading = replay(act, by=cast.tech)
        if not revised_first:
            self.revise(cast, card, oil, "30")
        assert replay(act, by=cast.tech) == reading
        kept = Reading.objects.get()
        assert (kept.verdict, kept.judged_by.low) == (("out", 30) if revised_first else ("in range", 15))
        assert kept.entry.happened_at == written
        said = reading_row(kept).revised
        assert said.startswith("Read before its limit was on the card")
        assert ("Judged by a limit that" in said) is not revised_first

    def test_of_a_limit_from_before_changes_were_kept_nothing_is_said(self, cast, oil) -> None:
        old = SpecCard.objects.create(family=cast.family, title="Old", document="M")
        old.limits.create(parameter=oil, unit="psi", condition="warm", low=Decimal(15))
        assert reading_row(measured(cast, oil, happened_at=timezone.now() - timedelta(days=2))).revised == ""


def test_an_engine_of_another_family_names_its_own(cast, oil) -> None:
    add(cast, "First", "15")
    cast.port.family = EngineFamily.objects.create(maker="Quillon", name="Q4")
    cast.port.save()
    assert measured(cast, oil).limits_remark == "No spec card of Quillon Q4 has limits of it."
