"""The frame of every page: the places a person may go to, and their own menu."""

import pytest
from django.urls import reverse

from staff.policy import Role
from tests.cast import keep_to_the_office, make_cast
from workorders.actions import open_job

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("role", "places", "own"),
    [
        (
            Role.FRONT_DESK,
            ["Today", "Jobs", "Vessels", "Parts"],
            [
                "Week",
                "Calls",
                "Service due",
                "Calendar feeds",
                "Deferred work",
                "Spec cards",
                "Instruments",
                "Invoices",
                "Clocks and hours",
                "Your login",
            ],
        ),
        (
            Role.TECHNICIAN,
            ["Today", "Jobs", "Vessels", "Parts"],
            ["Week", "Service due", "Calendar feeds", "Spec cards", "Instruments", "Clocks and hours", "Your login"],
        ),
        (
            Role.MANAGER,
            ["Today", "Jobs", "Vessels", "Parts", "Insight"],
            [
                "Taxes",
                "Week",
                "Calls",
                "Service due",
                "Calendar feeds",
                "Deferred work",
                "Spec cards",
                "Instruments",
                "Invoices",
                "Clocks and hours",
                "Your login",
            ],
        ),
        (
            Role.OWNER,
            ["Today", "Jobs", "Vessels", "Parts", "Insight"],
            [
                "Shop profile",
                "Invoices and notices",
                "Taxes",
                "People",
                "Week",
                "Calls",
                "Service due",
                "Calendar feeds",
                "Deferred work",
                "Spec cards",
                "Instruments",
                "Invoices",
                "Clocks and hours",
                "Your login",
            ],
        ),
    ],
)
def test_menus_of_each_role_and_every_link_opens(client, role, places, own):
    keep_to_the_office()
    client.force_login(make_cast().person(role))
    context = client.get("/").context
    assert [place.label for place in context["places"]] == places
    assert [link.label for link in context["person_links"]] == own
    for link in [*context["places"], *context["person_links"]]:
        assert client.get(link.url).status_code == 200, link


@pytest.mark.parametrize(
    ("name", "args", "place"),
    [
        ("today", [], "Today"),
        ("workorders:board", [], "Jobs"),
        ("vessels:customers", [], "Vessels"),
        ("parts:add", [], "Parts"),
        ("findings:insight_repairs", [], "Insight"),
        ("findings:job", [1001], "Jobs"),
        ("reports:job", [1001], "Jobs"),
        ("findings:cards", [], None),
        ("search", [], None),
        ("staff:list", [], None),
    ],
)
def test_the_place_one_is_at_is_marked(client, name, args, place):
    cast = make_cast()
    open_job(by=cast.desk, vessel=cast.vessel, concerns=["Will not start"])
    client.force_login(cast.owner)
    places = client.get(reverse(name, args=args)).context["places"]
    assert [each.label for each in places if each.current] == ([place] if place else [])


def test_a_vessels_readings_are_at_the_vessels(client):
    cast = make_cast()
    client.force_login(cast.tech)
    places = client.get(reverse("findings:vessel_readings", args=[cast.vessel.pk])).context["places"]
    assert [each.label for each in places if each.current] == ["Vessels"]


def test_logged_out_there_is_no_menu(client):
    context = client.get(reverse("account_login")).context
    assert context["places"] == context["person_links"] == []
