"""Notices are data of the shop: the examples say where they are from, set nothing, and can be begun with."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from billing.documents.examples import EXAMPLES
from billing.documents.models import Notice


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda one: one.key)
def test_an_example_names_its_source_and_leaves_it_to_the_law_of_the_place(example):
    assert example.citation
    assert "local law decides" in example.rests_on
    assert ("from memory" in example.rests_on) == ("U.S.C." in example.citation)
    assert not any(word in example.text for word in ("must ", "required by law", "illegal"))


def test_examples_are_in_force_nowhere_until_the_owner_adds_one(cast):
    client = Client()
    client.force_login(cast.owner)
    address = reverse("invoices:notice_add")
    page = client.get(address).content.decode()
    assert all(one.citation in page for one in EXAMPLES)
    assert not Notice.objects.exists()
    begun = client.get(address, {"example": "lien"}).content.decode()
    assert 'value="46 U.S.C. § 31342"' in begun
    assert client.get(address, {"example": "no-such"}).status_code == 200
    told = {"title": "Lien", "text": "Ours.", "citation": "46 U.S.C. § 31342", "on_invoices": "on", "position": "10"}
    assert client.post(address, told).status_code == 302
    assert Notice.objects.get().on_invoices
