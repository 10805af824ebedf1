"""A stolen open session takes over nothing: what matters asks for the person's own password once more."""

import pytest
from django.urls import reverse

from staff.doors.limits import OWN_WORDS
from staff.models import Person
from staff.queries import shop_profile
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db
GOOD = "tidal-lantern-88"
PERSON = {"name": "Rosa Blom", "username": "rosa", "role": "owner", "password": GOOD}
SHOP = {
    "name": "Other name", "units": "us", "paper": "letter", "time_zone": "America/New_York", "currency": "USD",
    "labor_rate": "120", "labor_step": "0.10",
    "hold_hours": "50", "hold_days": "365", "idle_minutes": "480",
    "shared_idle_minutes": "15", "seen_version": "1",
}  # fmt: skip


def forms_that_matter(cast):
    """Address, what is sent, and whether it was done."""
    tech = {"name": "Tomas", "username": "tomas", "role": "owner", "is_active": "on", "seen_version": "1"}
    return {
        "a new owner": (
            reverse("staff:add"),
            PERSON,
            lambda: Person.objects.filter(username="rosa").exists(),
        ),
        "a role": (
            reverse("staff:person", args=[cast.tech.pk]),
            tech,
            lambda: Person.objects.get(pk=cast.tech.pk).role == "owner",
        ),
        "somebody's password": (
            reverse("staff:password", args=[cast.tech.pk]),
            {"password": GOOD, "again": GOOD},
            lambda: Person.objects.get(pk=cast.tech.pk).check_password(GOOD),
        ),
        "the own password by the owner's page": (
            reverse("staff:password", args=[cast.owner.pk]),
            {"password": GOOD, "again": GOOD},
            lambda: Person.objects.get(pk=cast.owner.pk).check_password(GOOD),
        ),
        "the shop": (reverse("staff:shop"), SHOP, lambda: shop_profile().name == "Other name"),
    }


KINDS = ["a new owner", "a role", "somebody's password", "the own password by the owner's page", "the shop"]


@pytest.mark.parametrize("kind", KINDS)
def test_what_matters_is_done_only_with_the_own_password(client, kind):
    cast = make_cast()
    shop_profile()
    client.force_login(cast.owner)
    address, typed, is_done = forms_that_matter(cast)[kind]
    for wrong in [{}, {"own_word": ""}, {"own_word": "wrong"}, {"own_word": GOOD}]:
        answer = client.post(address, typed | wrong)
        assert answer.status_code == 422
        assert answer.context["form"].errors["own_word"]
        assert not is_done()
    assert client.post(address, typed | {"own_word": PASSWORD}).status_code == 302
    assert is_done()


def test_guesses_are_few_and_count_together_whichever_form_they_are_made_at(client):
    cast = make_cast()
    shop_profile()
    client.force_login(cast.owner)
    forms = list(forms_that_matter(cast).values())
    for number in range(OWN_WORDS.most):
        address, typed, _ = forms[number % len(forms)]
        client.post(address, typed | {"own_word": "wrong"})
    address, typed, is_done = forms[0]
    answer = client.post(address, typed | {"own_word": PASSWORD})
    assert "Too many wrong passwords" in answer.content.decode()
    assert not is_done()


def test_the_own_password_is_never_shown_again(client):
    cast = make_cast()
    client.force_login(cast.owner)
    answer = client.post(reverse("staff:add"), PERSON | {"username": "not good", "own_word": PASSWORD})
    assert answer.status_code == 422
    assert PASSWORD not in answer.content.decode()
