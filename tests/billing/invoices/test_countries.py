"""A country that the standard has no code for is refused where it is entered."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib.resources import files
from typing import Any

import lxml.html
import pytest
from django.test import Client
from django.urls import reverse

from billing.invoices.actions import change_billing
from billing.invoices.countries import COUNTRIES
from billing.invoices.models import CustomerBilling
from billing.invoices.queries.shop import billing_profile
from billing.invoices.structured import what_is_missing
from commands.refusals import Refused
from tests.billing.authorizations.test_answer_pages import fields_of
from tests.published.test_structured_invoice import DOCUMENTS


def test_the_codes_are_those_of_the_standard() -> None:
    """Code list 7 of the Factur-X 1.0.07 code database for EN 16931, 1A for Kosovo among them."""
    written = files("drafthorse").joinpath("schema/Factur-X_1.0.07_EN16931_codedb.xml").read_text()
    found = re.search(r'<cl id="7">(.*?)</cl>', written, re.DOTALL)
    assert found is not None
    assert set(re.findall(r'value="([^"]+)"', found[1])) == COUNTRIES


def test_a_country_that_is_none_is_refused_beside_the_field(money: Any) -> None:
    profile = billing_profile()
    for code in ("ZZ", "xx", "UK"):
        with pytest.raises(Refused, match=f"“{code.upper()}” is no code of a country") as told:
            change_billing(by=money.cast.owner, seen_version=profile.version, changes={"country": code})
        assert list(told.value.fields) == ["country"]
    changed = change_billing(by=money.cast.owner, seen_version=profile.version, changes={"country": " us "})
    assert changed.country == "US"
    kosovo = change_billing(by=money.cast.owner, seen_version=changed.version, changes={"country": "1a"})
    assert kosovo.country == "1A"
    for code in ("1B", "A1", "11"):
        with pytest.raises(Refused):
            change_billing(by=money.cast.owner, seen_version=kosovo.version, changes={"country": code})
    same = change_billing(by=money.cast.owner, seen_version=kosovo.version, changes={"country": ""})
    assert same.country == ""


def test_a_customers_country_is_one_too(money: Any) -> None:
    client = Client()
    client.force_login(money.cast.manager)
    at = reverse("invoices:details", args=[money.job.customer_id])
    sent = fields_of(client.get(at).content) | {"country": "ZZ"}
    page = client.post(at, sent)
    assert page.status_code == 422
    [beside] = lxml.html.fromstring(page.content.decode()).xpath("//input[@name='country']/@aria-describedby")
    said = lxml.html.fromstring(page.content.decode()).xpath(f"//*[contains('{beside}', @id) and @id]")
    assert any("“ZZ” is no code of a country that an invoice may name." in one.text_content() for one in said)
    assert not CustomerBilling.objects.exclude(country="").exists()
    assert client.post(at, sent | {"country": "de"}).status_code == 302
    assert CustomerBilling.objects.get().country == "DE"


def test_what_was_stored_before_makes_no_structured_data() -> None:
    """An invoice with a country that is none would be refused by whoever reads it."""
    document = next(iter(DOCUMENTS.values()))
    assert what_is_missing(document) == []
    assert what_is_missing(replace(document, shop=replace(document.shop, country="ZZ"))) == ["the shop’s country"]
