"""A passkey as the whole login: it stands for both factors, where the device knew the person."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from allauth.account.utils import user_pk_to_url_str
from allauth.mfa.models import Authenticator
from cryptography.hazmat.primitives.asymmetric import ec
from django.test import Client
from django.urls import reverse

from staff.doors.limits import PASSKEY_LOGINS
from staff.models import AccountEvent, Session
from tests.cast import PASSWORD, make_cast
from tests.staff.doors.soft_key import SoftKey
from tests.staff.doors.test_factors import STEP, give_app, options_of, want_it_of

pytestmark = pytest.mark.django_db
LOGIN, ALONE = "/accounts/login/", "/accounts/login/passkey/"


def give_passkey(person):
    inside, key = Client(SERVER_NAME="localhost"), SoftKey("http://localhost", "localhost")
    inside.force_login(person)
    address = reverse("staff:factor_passkey")
    options = options_of(inside.get(address).content.decode())
    chosen = options["publicKey"]["authenticatorSelection"]
    assert (chosen["residentKey"], chosen["userVerification"]) == ("preferred", "preferred")
    typed = {"name": "Yard tablet", "credential": key.made(options), "own_word": PASSWORD}
    assert inside.post(address, typed).status_code == 302
    return key


def asked(client):
    return client.get(ALONE, headers={"Accept": "application/json"}).json()


def at_the_door():
    return Client(SERVER_NAME="localhost")


def whose(person):
    """What a device keeps of the person beside the passkey."""
    return user_pk_to_url_str(person).encode()


def test_a_passkey_that_knew_the_person_opens_the_door_alone():
    cast = make_cast()
    key = give_passkey(cast.tech)
    want_it_of("technician")
    client = at_the_door()
    options = asked(client)
    assert options["publicKey"]["userVerification"] == "required"
    assert not options["publicKey"].get("allowCredentials")
    before = Session.objects.filter(person=cast.tech).count()
    answer = client.post(ALONE, {"credential": key.used(options, whose=whose(cast.tech)), "next": "/parts/"})
    assert (answer.status_code, answer.url) == (302, "/parts/")
    assert client.get("/").context["user"] == cast.tech
    assert Session.objects.filter(person=cast.tech).count() == before + 1
    event = AccountEvent.objects.filter(person=cast.tech, kind="logged-in").latest("pk")
    assert event.detail.endswith("with a passkey alone")
    assert "with a passkey alone" in client.get(reverse("staff:own_login")).content.decode()
    assert client.get(ALONE).url == "/"


def test_the_passkey_opens_nothing_where_the_device_did_not_know_the_person():
    cast = make_cast()
    key = give_passkey(cast.tech)
    client = at_the_door()
    shown = key.used(asked(client), whose=whose(cast.tech), verified=False)
    answer = client.post(ALONE, {"credential": shown}, follow=True)
    assert answer.redirect_chain[0][0] == LOGIN
    assert client.get("/").status_code == 302


def test_what_the_second_step_asked_for_does_not_let_a_stolen_key_in_as_somebody_else():
    """The second step is content with a touch. What it asked one person for, another's key must not answer alone."""
    cast = make_cast()
    stolen = give_passkey(cast.owner)
    give_passkey(cast.tech)
    thief = at_the_door()
    assert thief.post(LOGIN, {"login": "tomas", "password": PASSWORD}).url == STEP
    options = options_of(thief.get(STEP).content.decode())
    shown = stolen.used(options, whose=whose(cast.owner), verified=False)
    said = thief.post(ALONE, {"credential": shown}, follow=True).content.decode()
    assert "did not check that it is you" in said
    assert thief.get("/").status_code == 302


def test_a_touch_is_still_enough_as_the_second_step():
    cast = make_cast()
    key = give_passkey(cast.tech)
    client = at_the_door()
    client.post(LOGIN, {"login": "tomas", "password": PASSWORD})
    shown = key.used(options_of(client.get(STEP).content.decode()), verified=False)
    assert client.post(STEP, {"credential": shown}).url == "/"


@pytest.mark.parametrize("shared", [True, False])
def test_on_a_device_of_several_people_the_session_is_a_short_one(shared):
    cast = make_cast()
    key, client = give_passkey(cast.tech), at_the_door()
    typed = {"credential": key.used(asked(client), whose=whose(cast.tech)), "shared": "on" if shared else ""}
    client.post(ALONE, typed)
    assert client.session["door"]["shared"] is shared
    assert (client.cookies["shared-device"].value == "1") is shared


def test_a_given_password_still_has_to_be_changed():
    cast = make_cast()
    key = give_passkey(cast.tech)
    cast.tech.password_is_temporary = True
    cast.tech.save()
    client = at_the_door()
    assert client.post(ALONE, {"credential": key.used(asked(client), whose=whose(cast.tech))}).status_code == 302
    assert client.get("/").url == reverse("account_change_password")


def test_who_left_does_not_come_in():
    cast = make_cast()
    key = give_passkey(cast.tech)
    cast.tech.is_active = False
    cast.tech.save()
    client = at_the_door()
    client.post(ALONE, {"credential": key.used(asked(client), whose=whose(cast.tech))})
    assert client.get("/").status_code == 302


@pytest.mark.parametrize("how", ["another signature", "another's name", "nobody's name", "no name", "twice", "removed"])
def test_what_is_not_right_opens_nothing(how):
    cast = make_cast()
    key, client = give_passkey(cast.tech), at_the_door()
    told = {"another's name": whose(cast.owner), "nobody's name": b"99999999999999999999", "no name": None}
    if how == "another signature":
        key = replace(key, key=ec.generate_private_key(ec.SECP256R1()))
    shown = key.used(asked(client), whose=told.get(how, whose(cast.tech)))
    if how == "twice":
        assert client.post(ALONE, {"credential": shown}).url == "/"
        client = at_the_door()
        asked(client)
    if how == "removed":
        Authenticator.objects.all().delete()
    said = client.post(ALONE, {"credential": shown}, follow=True).content.decode()
    assert "This passkey is not accepted here" in said
    assert client.get("/").status_code == 302


@pytest.mark.parametrize(
    "sent", ["", "x", "[]", "{}", "[" * 100_000, '{"response": []}', '{"response": {"userHandle": [1]}}']
)
def test_what_is_no_passkey_is_refused_without_a_fault(sent):
    make_cast()
    client = at_the_door()
    asked(client)
    answer = client.post(ALONE, {"credential": sent, "next": "https://elsewhere.example.com/"})
    assert (answer.status_code, answer.url) == (302, LOGIN)
    assert client.get("/").status_code == 302


def test_wrong_ones_are_counted_by_address_and_told_without_what_was_sent(caplog):
    cast = make_cast()
    key, client = give_passkey(cast.tech), at_the_door()
    asked(client)
    with caplog.at_level("INFO"):
        for _ in range(PASSKEY_LOGINS.most):
            client.post(ALONE, {"credential": json.dumps({"id": "planted"})})
        refused = client.post(ALONE, {"credential": key.used(asked(client), whose=whose(cast.tech))}, follow=True)
    assert "Too many failed attempts" in refused.content.decode()
    elsewhere = Client(SERVER_NAME="localhost", REMOTE_ADDR="203.0.113.9")
    answer = elsewhere.post(ALONE, {"credential": key.used(asked(elsewhere), whose=whose(cast.tech))})
    assert answer.url == "/"
    assert "planted" not in caplog.text


def test_it_is_offered_by_a_script_and_only_where_browsers_have_passkeys():
    cast = make_cast()
    give_app(cast.tech)
    page = at_the_door().get(LOGIN).content.decode()
    form = page[page.index("data-passkey-from") :]
    assert form[: form.index(">")].endswith("hidden"), "without a script nothing is offered"
    assert 'type="submit" hidden' in form
    at_a_number = Client(SERVER_NAME="127.0.0.1")
    assert "data-passkey" not in at_a_number.get(LOGIN).content.decode()
    assert at_a_number.get(ALONE, headers={"Accept": "application/json"}).url == LOGIN
    assert at_the_door().get(ALONE).url == LOGIN
