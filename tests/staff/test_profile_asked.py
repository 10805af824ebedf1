"""The shop's profile as everybody asks for it is the record that the framework reads."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection

from staff.models import ShopProfile
from staff.queries import shop_profile

pytestmark = pytest.mark.django_db


def everything(profile: ShopProfile) -> dict[str, Any]:
    return {field.attname: field.value_from_object(profile) for field in ShopProfile._meta.concrete_fields}


def test_it_is_made_with_defaults_the_first_time_and_then_found() -> None:
    assert not ShopProfile.objects.exists()
    assert everything(shop_profile()) == everything(ShopProfile(pk=1))
    assert ShopProfile.objects.count() == 1
    assert shop_profile().pk == 1


def test_every_column_is_what_the_framework_reads(django_assert_num_queries: Any) -> None:
    ShopProfile.objects.create(
        pk=1,
        name="O’Dell & Søn 100% {x} %s",
        labor_rate=Decimal("141.50"),
        second_factor_roles=["owner", "manager"],
        logo="shop/x.png",
        time_zone="Pacific/Auckland",
        version=7,
    )
    with django_assert_num_queries(1):
        profile = shop_profile()
    theirs = ShopProfile.objects.get(pk=1)
    assert everything(profile) == everything(theirs)
    assert [type(value) for value in everything(profile).values()] == [type(v) for v in everything(theirs).values()]
    assert profile.get_deferred_fields() == set()
    assert profile == theirs
    profile.name = "Marlin Creek"
    profile.save()
    assert ShopProfile.objects.get().name == shop_profile().name == "Marlin Creek"


def test_a_column_that_a_later_version_adds_is_no_trouble_on_the_same_connection() -> None:
    name = shop_profile().name
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("ALTER TABLE staff_shopprofile ADD COLUMN later text DEFAULT 'x'")
    assert shop_profile().name == name
