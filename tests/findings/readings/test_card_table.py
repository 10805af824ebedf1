"""A spec card as one table: a row a parameter and condition; what is wrong is said beside its cell, nothing is lost."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django.asserts import assertHTMLEqual

from engineering.measures import UNITS
from findings.readings.card_forms import LimitForm
from findings.readings.models import Parameter, SpecCard, SpecLimit
from tests.cast import Cast


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_every_unit_is_read_as_it_is_called(unit: str) -> None:
    of = Parameter(pk=1, name="It", kind=UNITS[unit].kind)
    for written in {unit, UNITS[unit].label}:
        form = LimitForm(
            {"parameter": "it", "unit": written, "low": "300" if unit == "K" else "1"},
            system="us",
            parameters={"it": of},
        )
        assert form.is_valid(), form.errors
        assert form.cleaned_data["row"].unit == unit


PRESSURE = Parameter(pk=1, name="Oil pressure", kind=UNITS["psi"].kind)


@pytest.mark.parametrize(
    ("cells", "cell", "said"),
    [
        ({"low": "4"}, "parameter", "Write what these limits are for"),
        ({"page": "4"}, "parameter", "Write what these limits are for"),
        ({"parameter": "Oil presure", "low": "4"}, "parameter", "Nothing that is measured here is called"),
        ({"parameter": "oil pressure", "unit": "V", "low": "4"}, "unit", "does not measure oil pressure"),
        ({"parameter": "oil pressure", "unit": "psy", "low": "4"}, "unit", "does not measure oil pressure"),
        ({"parameter": "oil pressure"}, "low", "Give at least one"),
        ({"parameter": "oil pressure", "nominal": "4"}, "low", "Give at least one"),
        ({"parameter": "oil pressure", "low": "9", "high": "2"}, "low", "lower limit is above the upper"),
        ({"parameter": "oil pressure", "low": "1", "high": "2", "nominal": "3"}, "nominal", "outside the limits"),
        ({"parameter": "oil pressure", "low": "four"}, "low", ""),
        ({"parameter": "oil pressure", "high": "4 bar", "unit": "psi"}, "high", "Use the unit of the row"),
        ({"parameter": "oil pressure", "low": "4", "near_percent": "51"}, "near_percent", "From 0 to 50"),
        ({"parameter": "oil pressure", "low": "4", "page": "x" * 21}, "page", ""),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_cell(cells: dict[str, str], cell: str, said: str) -> None:
    form = LimitForm(cells, system="us", parameters={"oil pressure": PRESSURE})
    assert not form.is_valid()
    assert list(form.errors) == [cell]
    assert said in form.errors[cell][0]


@pytest.mark.django_db
class TestTable:
    def sent(self, cast: Cast, *rows: dict[str, str], **words: Any) -> dict[str, Any]:
        data = {"family": cast.family.pk, "title": "Warm", "document": "Manual", "limits-TOTAL_FORMS": str(len(rows)),
                "limits-INITIAL_FORMS": "0"}  # fmt: skip
        for at, row in enumerate(rows):
            data |= {f"limits-{at}-{name}": value for name, value in row.items()}
        return data | words

    def test_all_rows_are_saved_at_once_or_none(self, client, cast):
        client.force_login(cast.tech)
        right = {"parameter": "oil pressure", "condition": "warm", "low": "40", "unit": "psi", "page": "41"}
        wrong = {"parameter": "Coolant temperature", "high": "hot", "source": "Bulletin 7"}
        again = right | {"condition": "WARM ", "low": "41"}
        answer = client.post(reverse("findings:card_add"), self.sent(cast, right, wrong, again))
        page = answer.content.decode()
        assert answer.status_code == 422
        assert all(f'value="{kept}"' in page for kept in ("oil pressure", "40", "41", "hot", "Bulletin 7"))
        assert not SpecCard.objects.exists()
        answer = client.post(reverse("findings:card_add"), self.sent(cast, right, again))
        assert answer.status_code == 422
        assert "Row 1 is for the same under the same condition" in answer.content.decode()
        right_two = {"parameter": "Coolant temperature", "high": "190", "source": "Bulletin 7"}
        assert client.post(reverse("findings:card_add"), self.sent(cast, right, right_two)).status_code == 302
        said = {(one.parameter.name, one.source, one.page) for one in SpecLimit.objects.all()}
        assert said == {("Oil pressure", "Manual", "41"), ("Coolant temperature", "Bulletin 7", "")}

    def test_the_page_sent_as_it_is_changes_nothing(self, client, cast):
        client.force_login(cast.tech)
        rows = [
            {"parameter": "Oil pressure", "condition": "warm", "low": "2.75", "unit": "bar", "page": "4"},
            {"parameter": "Coolant temperature", "high": "190", "near_percent": "0", "source": "Bulletin 7"},
        ]  # fmt: skip
        client.post(reverse("findings:card_add"), self.sent(cast, *rows))
        card = SpecCard.objects.get()
        address = reverse("findings:card_change", args=[card.pk])
        shown = client.get(address).context
        data = {
            f"limits-{name}": shown["rows"].management_form[name].value() for name in ("TOTAL_FORMS", "INITIAL_FORMS")
        }
        for form in [shown["form"], *shown["rows"]]:
            data |= {field.html_name: field.value() if field.value() is not None else "" for field in form}
        assert client.post(address, data).status_code == 302
        assert card.limits.count() == 2
        assert not card.limits.exclude(ended_at=None).exists()

    def test_more_rows_keep_what_is_typed_and_save_nothing(self, client, cast):
        client.force_login(cast.tech)
        rows = [{"parameter": "Oil presure", "low": "forty"}]
        answer = client.post(reverse("findings:card_add"), self.sent(cast, *rows, more="yes"))
        page = answer.content.decode()
        assert answer.status_code == 200
        assert 'value="Oil presure"' in page
        assert 'value="forty"' in page
        assert 'value="Manual"' in page
        assert 'name="limits-4-parameter"' in page
        assert not SpecCard.objects.exists()

    def test_the_table_asks_no_more_for_sixty_rows_than_for_two(self, client, cast):
        client.force_login(cast.tech)
        asked = []
        for count in (2, 60):
            rows = [{"parameter": "Oil pressure", "condition": f"at {at} rpm", "low": "40"} for at in range(count)]
            assert client.post(reverse("findings:card_add"), self.sent(cast, *rows)).status_code == 302
            address = reverse("findings:card_change", args=[SpecCard.objects.latest("pk").pk])
            client.get(address)
            with CaptureQueriesContext(connection) as queries:
                page = client.get(address)
            assert len(page.context["rows"].forms) == count + 4
            asked.append(len(queries))
        assert asked[0] == asked[1]

    def test_each_cell_says_what_its_field_would(self, client, cast):
        client.force_login(cast.manager)
        odd = {"parameter": "Oil pressure", "condition": "warm \"<&>' ½", "low": "0", "high": "9", "near_percent": "0"}
        odd |= {"unit": "psi", "source": "“Ed. 4”", "page": "xiv"}
        body = self.sent(cast, odd, {"condition": "nothing measured"})
        page = client.post(reverse("findings:card_add"), body)
        assert page.status_code == 422
        forms, inputs = page.context["rows"].forms, {}
        for written in re.findall(r"<input[^>]*>", page.content.decode()):
            named = re.search(r' name="(limits-[0-9]+-[a-z_]+)"', written)
            if named:
                inputs[named[1]] = written
        compared = [(inputs[field.html_name], str(field)) for form in forms for field in form]
        assert len(compared) == 9 * len(forms) == len(inputs) > 9
        for written, wanted in compared:
            assertHTMLEqual(written, wanted)
