"""A password that somebody else knows opens nothing but the page where it is changed, and the person is told."""

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from staff.actions import add_person, set_password
from staff.models import AccountEvent
from staff.policy import Role
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db
GIVEN, OWN = "tidal-lantern-88", "copper-windlass-31"
LOGIN, CHANGE = "/accounts/login/", "/accounts/password/"


def logged_in(name, password):
    client = Client()
    assert client.post(LOGIN, {"login": name, "password": password}).status_code == 302
    return client


def test_whoever_set_a_password_gets_no_further_than_its_change():
    cast = make_cast()
    set_password(by=cast.owner, person=cast.tech, password=GIVEN)
    client = logged_in("tomas", GIVEN)
    for path in ["/", "/parts/", "/accounts/", f"/vessels/{cast.vessel.pk}/", "/search/?q=x"]:
        answer = client.get(path)
        assert (answer.status_code, answer.url) == (302, CHANGE), path
    noted = client.post(reverse("vessels:note", args=[cast.vessel.pk]), {"text": "In the name of Tomas"})
    assert (noted.status_code, noted.url) == (302, CHANGE)
    assert not cast.vessel.log.exists()
    part = client.get("/search/?q=x", headers={"HX-Request": "true"})
    assert part.headers["HX-Redirect"] == CHANGE
    assert client.get("/verify/").status_code == 200
    assert client.post("/accounts/logout/").status_code == 302


def test_the_person_is_told_by_whom_and_chooses_another():
    cast = make_cast()
    set_password(by=cast.owner, person=cast.tech, password=GIVEN)
    client = logged_in("tomas", GIVEN)
    page = client.get(CHANGE).content.decode()
    assert "Orla Brandt set a new password for you on" in page
    assert "Keep my current password" not in page
    same = client.post(CHANGE, {"oldpassword": GIVEN, "password1": GIVEN, "password2": GIVEN})
    assert "gave it to you knows it" in same.content.decode()
    done = client.post(CHANGE, {"oldpassword": GIVEN, "password1": OWN, "password2": OWN})
    assert (done.status_code, done.url) == (302, "/")
    assert client.get("/").status_code == 200
    cast.tech.refresh_from_db()
    assert not cast.tech.password_is_temporary
    assert cast.tech.check_password(OWN)


def test_somebody_new_chooses_their_own_first():
    cast = make_cast()
    add_person(by=cast.owner, username="rosa", name="Rosa Blom", role=Role.TECHNICIAN, password=GIVEN)
    client = logged_in("rosa", GIVEN)
    assert client.get("/").url == CHANGE
    assert "Orla Brandt gave you your first password" in client.get(CHANGE).content.decode()


def test_a_reset_used_in_between_cannot_be_hidden():
    """The owner sets a password, uses it, and sets another: the person sees both, and the login."""
    cast = make_cast()
    set_password(by=cast.owner, person=cast.tech, password=GIVEN)
    client = logged_in("tomas", GIVEN)
    client.post(CHANGE, {"oldpassword": GIVEN, "password1": OWN, "password2": OWN})
    set_password(by=cast.owner, person=cast.tech, password="amber-halyard-57")
    client = logged_in("tomas", "amber-halyard-57")
    assert client.get(CHANGE).content.decode().count("Orla Brandt set a new password") == 2
    mine = {"oldpassword": "amber-halyard-57", "password1": "slate-mooring-90", "password2": "slate-mooring-90"}
    client.post(CHANGE, mine)
    seen = client.get(reverse("staff:own_login")).content.decode()
    assert seen.count("New password set by somebody else") == 2
    assert seen.count("Logged in") >= 2


def test_what_happened_cannot_be_taken_away():
    cast = make_cast()
    set_password(by=cast.owner, person=cast.tech, password=GIVEN)
    for act in [AccountEvent.objects.all().delete, lambda: AccountEvent.objects.update(by=None)]:
        with pytest.raises(DatabaseError), transaction.atomic():
            act()


def test_ones_own_new_password_is_not_temporary():
    cast = make_cast()
    set_password(by=cast.owner, person=cast.owner, password=GIVEN)
    assert logged_in("orla", GIVEN).get("/").status_code == 200
    client = logged_in("tomas", PASSWORD)
    assert client.get("/").status_code == 200
