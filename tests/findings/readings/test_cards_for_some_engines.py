"""Spec cards for some models, years or serial numbers of a family: an engine is judged by its own, or not at all."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from commands.refusals import Refused
from findings.readings.actions import NewLimit, add_card, change_card, log_reading
from findings.readings.fitting import scope_words, why_not_for
from findings.readings.models import Parameter, Reading, SpecCard
from tests.cast import Cast
from vessels.models import Engine
from workorders.actions import open_job

SCOPES = ["engine_models", "year_from", "year_to", "serial_from", "serial_to"]


def card_for(*scope: object) -> SpecCard:
    blank: list[object] = ["", None, None, "", ""]
    return SpecCard(title="Idle", **dict(zip(SCOPES, [*scope, *blank[len(scope) :]], strict=True)))


@pytest.mark.parametrize(
    ("card", "engine", "scope", "why"),
    [
        (card_for(), Engine(), "", ""),
        (card_for("D6T-370"), Engine(model="D6T-370"), "model D6T-370", ""),
        (card_for("D6T-370"), Engine(model="d6t 370"), "model D6T-370", ""),
        (card_for("D6T-270,  D6T-370 "), Engine(model="D6T-370"), "models D6T-270, D6T-370", ""),
        (card_for("D6T-270"), Engine(model="D6T-2700"), "model D6T-270", "this engine’s model is D6T-2700"),
        (card_for("D6T-270"), Engine(), "model D6T-270", "the model of this engine is not entered"),
        (card_for("D6T-270"), Engine(model=" - "), "model D6T-270", "the model of this engine is not entered"),
        (card_for("", 2010, 2015), Engine(year=2010), "years 2010 to 2015", ""),
        (card_for("", 2010, 2015), Engine(year=2016), "years 2010 to 2015", "this engine is of 2016"),
        (card_for("", 2010), Engine(year=2009), "years from 2010", "this engine is of 2009"),
        (card_for("", None, 2015), Engine(year=1999), "years up to 2015", ""),
        (card_for("", 2012, 2012), Engine(), "year 2012", "the year of this engine is not entered"),
        (card_for("", None, None, "NL-20400", "NL-20999"), Engine(serial="NL-20417"),
         "serial numbers NL-20400 to NL-20999", ""),
        (card_for("", None, None, "NL-20400"), Engine(serial="NL-20399"),
         "serial numbers from NL-20400", "this engine’s serial number is NL-20399"),
        (card_for("", None, None, "NL-20400"), Engine(serial="20500"),
         "serial numbers from NL-20400", "this engine’s serial number, 20500, cannot be compared with these"),
        (card_for("", None, None, "", "NL-20400"), Engine(serial=" "),
         "serial numbers up to NL-20400", "the serial number of this engine is not entered"),
        (card_for("D6T-370", 2010, None, "NL-20400"), Engine(model="D6T-370", year=2011, serial="NL-1"),
         "model D6T-370; years from 2010; serial numbers from NL-20400", "this engine’s serial number is NL-1"),
    ],
)  # fmt: skip
def test_a_card_is_for_an_engine_where_all_of_it_is_certain(
    card: SpecCard, engine: Engine, scope: str, why: str
) -> None:
    assert (scope_words(card), why_not_for(card, engine)) == (scope, why)


@pytest.fixture
def oil(db: None) -> Parameter:
    return Parameter.objects.get(name="Oil pressure")


def add(cast: Cast, oil: Parameter, title: str, low: str, **scope: object) -> SpecCard:
    limits = [NewLimit(parameter=oil, unit="psi", condition="warm, 700 rpm", low=Decimal(low), high=Decimal(45))]
    return add_card(by=cast.tech, family=cast.family, title=title, document="Manual, p. 4", limits=limits, **scope)


def measured(cast: Cast, oil: Parameter, value: str = "20") -> Reading:
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=oil, value=Decimal(value), unit="psi",
        condition="warm, 700 rpm",
    )  # fmt: skip


@pytest.mark.django_db
class TestJudging:
    def test_the_card_of_another_model_judges_nothing(self, cast, oil):
        add(cast, oil, "Smaller one", "25", engine_models="D6T-270")
        assert (measured(cast, oil).verdict, measured(cast, oil).limits_from) == ("no limits", "")
        add(cast, oil, "Own", "15", engine_models="D6T-370")
        assert (measured(cast, oil).verdict, measured(cast, oil).limits_from) == ("in range", "Own: Manual, p. 4")

    def test_two_cards_that_differ_judge_nothing(self, cast, oil):
        add(cast, oil, "First", "15")
        second = add(cast, oil, "Second", "25")
        assert measured(cast, oil).verdict == "no limits"
        change_card(
            by=cast.tech, card=second, changes={},
            limits=[NewLimit(parameter=oil, unit="psi", condition="warm,  700 rpm", low=Decimal(15), high=Decimal(45))],
        )  # fmt: skip
        assert (measured(cast, oil).verdict, measured(cast, oil).limits_from) == ("in range", "First: Manual, p. 4")

    def test_the_sheet_says_which_cards_are_for_others(self, client, cast, oil):
        job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil pressure"])
        add(cast, oil, "Smaller one", "25", engine_models="D6T-270")
        add(cast, oil, "Later ones", "25", year_from=2015)
        client.force_login(cast.tech)
        address = reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}"
        page = client.get(address).content.decode()
        assert "No spec card for this engine" in page
        assert "“Smaller one” is for model D6T-270; this engine’s model is D6T-370." in page
        assert "“Later ones” is for years from 2015; the year of this engine is not entered." in page
        add(cast, oil, "Own", "15", engine_models="D6T-370")
        page = client.get(address).content.decode()
        assert "“Smaller one”" not in page
        assert "Add a spec card" not in page

    def test_of_two_engines_side_by_side_each_is_judged_by_its_own(self, client, cast, oil):
        job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil pressure"])
        Engine.objects.filter(pk=cast.starboard.pk).update(model="D6T-270")
        limit = add(cast, oil, "Own", "15", engine_models="D6T-370").limits.get()
        client.force_login(cast.tech)
        address = reverse("findings:job_readings", args=[job.number])
        both = {"engine": cast.port.pk, "beside": [cast.starboard.pk]}
        sheet = client.get(address, both).context["sheet"]
        assert [cell.limit and cell.limit.pk for cell in sheet.cells] == [limit.pk, None]
        add(cast, oil, "Smaller one", "25", engine_models="D6T-270")
        sheet = client.get(address, both).context["sheet"]
        assert [cell.limit and cell.limit.low for cell in sheet.cells] == [15, 25]


@pytest.mark.django_db
class TestWriting:
    @pytest.mark.parametrize(
        ("scope", "field", "said"),
        [
            ({"year_from": 2015, "year_to": 2010}, "year_from", "after the last one"),
            ({"serial_from": "all of them"}, "serial_from", "ends with digits"),
            ({"serial_to": "NL-"}, "serial_to", "ends with digits"),
            ({"serial_from": "NL-9", "serial_to": "NL-1"}, "serial_from", "not above the last"),
            ({"serial_from": "NL-9", "serial_to": "KX-10"}, "serial_from", "same letters"),
            ({"year_from": 3}, "year_from", "cannot be saved"),
            ({"engine_models": "x" * 201}, "engine_models", "cannot be saved"),
        ],
    )
    def test_what_no_engine_can_be_in_is_refused(self, cast, oil, scope, field, said):
        with pytest.raises(Refused, match=said) as refused:
            add(cast, oil, "Odd", "15", **scope)
        assert field in refused.value.fields
        assert not SpecCard.objects.exists()

    def test_the_form_keeps_it_and_the_list_says_it(self, client, cast, oil):
        client.force_login(cast.tech)
        data = {
            "family": cast.family.pk, "title": "Idle", "document": "Manual, p. 3", "engine_models": "D6T-370, D6T-270",
            "year_from": "2010", "serial_from": "NL-20400", "serial_to": "NL-20999", "limits-TOTAL_FORMS": "1",
            "limits-INITIAL_FORMS": "0", "limits-0-parameter": oil.name, "limits-0-low": "40", "limits-0-unit": "psi",
        }  # fmt: skip
        assert client.post(reverse("findings:card_add"), data).status_code == 302
        said = "Only for models D6T-370, D6T-270; years from 2010; serial numbers NL-20400 to NL-20999"
        assert said in client.get(reverse("findings:cards")).content.decode()
        card = SpecCard.objects.get()
        page = client.get(reverse("findings:card_change", args=[card.pk])).content.decode()
        assert all(f'value="{value}"' in page for value in ("D6T-370, D6T-270", "2010", "NL-20400", "NL-20999"))
        wrong = client.post(reverse("findings:card_change", args=[card.pk]), data | {"serial_from": "NL-30000"})
        assert wrong.status_code == 422
        assert "not above the last" in wrong.content.decode()
        assert (
            client.post(reverse("findings:card_change", args=[card.pk]), data | {"year_to": "2012"}).status_code == 302
        )
        assert "years 2010 to 2012" in client.get(reverse("findings:cards")).content.decode()
