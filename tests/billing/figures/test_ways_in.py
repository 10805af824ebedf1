"""Who may open a figure of the shop is led there."""

import pytest
from django.urls import reverse

from staff.policy import Role
from staff.queries import shop_profile
from tests.cast import keep_to_the_office, make_cast

pytestmark = pytest.mark.django_db

MONEY = ["Open estimates", "Owed by age", "Sales by week"]
WORK = ["Faults and repairs", "Hours sold", "Cost of comebacks", "Days in each state"]


def labels(client, name):
    answer = client.get(reverse(name))
    assert answer.status_code == 200
    return [tab.label for tab in answer.context["tabs"]]


@pytest.mark.parametrize("role", [Role.MANAGER, Role.OWNER])
def test_who_sees_insight_and_money_sees_all_tabs(client, role):
    client.force_login(make_cast().person(role))
    for name in ("findings:insight", "figures:hours", "figures:sales"):
        assert labels(client, name) == WORK + MONEY


def test_the_desk_comes_from_the_invoices_to_the_figures_of_money_and_no_tab_turns_it_away(client):
    client.force_login(make_cast().person(Role.FRONT_DESK))
    page = client.get(reverse("invoices:list")).content.decode()
    assert f'href="{reverse("figures:sales")}"' in page
    for name in ("figures:estimates", "figures:owed", "figures:sales"):
        assert labels(client, name) == MONEY
    for tab in client.get(reverse("figures:sales")).context["tabs"]:
        assert client.get(tab.url).status_code == 200


def test_a_technician_who_sees_insight_sees_no_tab_of_money(client):
    keep_to_the_office()
    shop = shop_profile()
    shop.technicians_see_insight = True
    shop.save()
    client.force_login(make_cast().person(Role.TECHNICIAN))
    assert labels(client, "figures:hours") == WORK
    assert client.get(reverse("figures:sales")).status_code == 403
