"""A page of a list: no row is lost or shown twice, whatever stands in the address."""

from __future__ import annotations

import pytest
from django.db.models.functions import Lower
from django.test import RequestFactory

from parts.models import Part
from tests.cast import make_cast
from vessels.models import Customer
from web.pager import Page, asked_page, page_of

pytestmark = pytest.mark.django_db
BY_NAME = Lower("name")


def walked(by, size):
    """Every row from the first page to the last, and back."""
    page = page_of(Customer.objects.all(), by, size=size)
    assert page.before is None
    on = [row.pk for row in page.rows]
    while page.after is not None:
        page = page_of(Customer.objects.all(), by, size=size, after=page.after)
        on += [row.pk for row in page.rows]
    back = [row.pk for row in page.rows]
    while page.before is not None:
        page = page_of(Customer.objects.all(), by, size=size, before=page.before)
        back = [row.pk for row in page.rows] + back
    return on, back


@pytest.fixture
def customers():
    make_cast()
    names = ["Ash", "ash", "ASH", "Birch", "Cedar", "Cedar", "Elm", "Fir", "Fir"]
    return Customer.objects.bulk_create(Customer(name=name) for name in names)


@pytest.mark.parametrize("size", [1, 2, 3, 4, 50])
def test_names_that_are_equal_stand_once(customers, size):
    in_order = sorted(Customer.objects.all(), key=lambda one: (one.name.lower(), one.pk))
    assert walked(BY_NAME, size) == ([one.pk for one in in_order],) * 2


@pytest.mark.parametrize("size", [2, 5])
def test_a_falling_order_goes_there_and_back(customers, size):
    in_order = sorted(Customer.objects.all(), key=lambda one: (one.name, one.pk), reverse=True)
    on, back = walked("-name", size)
    assert on == back
    assert [Customer.objects.get(pk=pk).name for pk in on] == [
        one.name for one in Customer.objects.order_by("-name", "-pk")
    ]
    assert sorted(on) == sorted(one.pk for one in in_order)


def test_the_row_at_the_edge_may_have_left_the_list(customers):
    cedar = customers[4]
    rest = Customer.objects.exclude(pk=cedar.pk)
    assert [one.name for one in page_of(rest, BY_NAME, size=2, after=cedar.pk).rows] == ["Cedar", "Elm"]
    cedar.delete()
    first = page_of(Customer.objects.all(), BY_NAME, size=2)
    assert page_of(Customer.objects.all(), BY_NAME, size=2, after=cedar.pk) == first


@pytest.mark.parametrize("query", ["?after=x", "?before=-1", "?after=²", f"?after={'9' * 60}", "?before=%00"])
def test_an_address_that_makes_no_sense_gives_the_first_page(customers, query):
    found = asked_page(Customer.objects.all(), BY_NAME, RequestFactory().get("/" + query), size=3)
    assert found == page_of(Customer.objects.all(), BY_NAME, size=3)


def test_addresses_keep_the_filter_and_lead_nowhere_where_nothing_is():
    assert Page([], None, None).addresses("/parts/", {"q": "a"}) == {"previous_url": "", "next_url": ""}
    page: Page[Part] = Page([], before=7, after=9)
    assert page.addresses("/parts/", {"q": "a b", "all": ""}) == {
        "previous_url": "/parts/?q=a+b&before=7",
        "next_url": "/parts/?q=a+b&after=9",
    }
