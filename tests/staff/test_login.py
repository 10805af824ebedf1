"""Logging in and out, and what somebody learns who may not."""

import pytest
from django.urls import NoReverseMatch, reverse

from staff.doors.models import Counter
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db
LOGIN = "/accounts/login/"
LOCKED = "Too many failed attempts."
MISMATCH = "This user name and password do not match."


def test_login_by_user_name_leads_to_today(client):
    cast = make_cast()
    answer = client.post(LOGIN, {"login": "tomas", "password": PASSWORD})
    assert (answer.status_code, answer.url) == (302, "/")
    assert client.get("/").context["user"] == cast.tech


def test_capitals_in_the_user_name_do_not_matter(client):
    make_cast()
    assert client.post(LOGIN, {"login": " Tomas ", "password": PASSWORD}).status_code == 302


def test_login_goes_on_to_where_the_person_wanted_but_never_elsewhere(client):
    make_cast()
    wanted = client.get("/parts/")
    assert (wanted.status_code, wanted.url) == (302, f"{LOGIN}?next=/parts/")
    assert 'name="next" value="/parts/"' in client.get(wanted.url).content.decode()
    assert client.post(LOGIN, {"login": "dora", "password": PASSWORD, "next": "/parts/"}).url == "/parts/"
    client.logout()
    away = client.post(LOGIN, {"login": "dora", "password": PASSWORD, "next": "https://example.com/"})
    assert away.url == "/"


def _message(client, login, password="wrong-wrong-wrong"):
    answer = client.post(LOGIN, {"login": login, "password": password})
    return answer.status_code, [str(error) for error in answer.context["form"].non_field_errors()]


def test_a_wrong_password_an_unknown_name_and_somebody_who_left_get_the_same_answer(client):
    cast = make_cast()
    cast.desk.is_active = False
    cast.desk.save()
    answers = [_message(client, "tomas"), _message(client, "nobody"), _message(client, "dora", PASSWORD)]
    assert answers[0] == answers[1] == answers[2]
    assert answers[0][1][0].startswith(MISMATCH)


def test_lockout_holds_for_the_right_password_too_and_does_not_tell_who_exists(client):
    make_cast()

    def attempts(login):
        Counter.objects.all().delete()
        return [_message(client, login)[1][0].split(".")[0] for _ in range(7)]

    known, unknown = attempts("tomas"), attempts("nobody")
    assert known == unknown
    assert known[4] == MISMATCH.rstrip(".")
    assert known[5] == LOCKED.rstrip(".")
    Counter.objects.all().delete()
    for _ in range(5):
        _message(client, "tomas")
    assert _message(client, "tomas", PASSWORD)[1][0].startswith(LOCKED)
    assert client.get("/").status_code == 302


def test_six_wrong_guesses_from_elsewhere_leave_the_person_in(client):
    make_cast()
    assert client.post(LOGIN, {"login": "orla", "password": PASSWORD}).status_code == 302
    client.post(reverse("account_logout"))
    for number in range(60):
        client.post(LOGIN, {"login": "orla", "password": "wrong"}, REMOTE_ADDR=f"203.0.113.{number}")
    strange = client.post(LOGIN, {"login": "orla", "password": PASSWORD}, REMOTE_ADDR="198.51.100.7")
    assert LOCKED in strange.content.decode()
    assert client.post(LOGIN, {"login": "orla", "password": PASSWORD}).status_code == 302


def test_a_right_password_among_wrong_ones_resets_no_counter(client):
    make_cast()
    for _ in range(4):
        _message(client, "tomas")
    assert client.post(LOGIN, {"login": "tomas", "password": PASSWORD}).status_code == 302
    client.post(reverse("account_logout"))
    _message(client, "tomas")
    assert _message(client, "tomas", PASSWORD)[1][0].startswith(LOCKED)


def test_one_persons_lockout_leaves_the_others_alone(client):
    make_cast()
    for _ in range(6):
        _message(client, "tomas")
    assert client.post(LOGIN, {"login": "mina", "password": PASSWORD}).status_code == 302


def test_a_flood_from_one_address_gets_a_page_that_says_so(client):
    make_cast()
    statuses = [client.post(LOGIN, {"login": f"user{number}", "password": "x"}).status_code for number in range(31)]
    assert statuses[29] == 200
    assert statuses[30] == 429
    answer = client.post(LOGIN, {"login": "tomas", "password": PASSWORD})
    assert answer.status_code == 429
    assert "Wait a minute" in answer.content.decode()


def test_empty_login_is_explained_by_the_fields(client):
    answer = client.post(LOGIN, {"login": "", "password": ""})
    assert set(answer.context["form"].errors) == {"login", "password"}


def test_login_page_says_where_passwords_come_from_and_keeps_the_name(client):
    make_cast()
    assert "The owner of the shop gives you a user name" in client.get(LOGIN).content.decode()
    answer = client.post(LOGIN, {"login": "tomas", "password": "wrong-wrong-wrong"})
    assert 'value="tomas"' in answer.content.decode()
    assert "wrong-wrong-wrong" not in answer.content.decode()


def test_logout_by_post_only(client):
    cast = make_cast()
    client.force_login(cast.tech)
    assert client.get(reverse("account_logout")).status_code == 200
    assert client.get("/").status_code == 200
    answer = client.post(reverse("account_logout"))
    assert (answer.status_code, answer.url) == (302, LOGIN)
    assert client.get("/").status_code == 302


def test_own_password_needs_the_old_one(client):
    cast = make_cast()
    client.force_login(cast.tech)
    address = reverse("account_change_password")
    typed = {"oldpassword": "wrong", "password1": "tidal-lantern-88", "password2": "tidal-lantern-88"}
    answer = client.post(address, typed)
    assert "not your password" in str(answer.context["form"].errors["oldpassword"])
    weak = client.post(address, {"oldpassword": PASSWORD, "password1": "tomas", "password2": "tomas"})
    assert weak.context["form"].errors["password1"]
    answer = client.post(address, typed | {"oldpassword": PASSWORD})
    assert (answer.status_code, answer.url) == (302, "/")
    assert "Your password is changed." in client.get("/").content.decode()
    cast.tech.refresh_from_db()
    assert cast.tech.check_password("tidal-lantern-88")


def test_guessing_the_old_password_is_limited(client):
    cast = make_cast()
    client.force_login(cast.tech)
    typed = {"oldpassword": "wrong", "password1": "tidal-lantern-88", "password2": "tidal-lantern-88"}
    for _ in range(8):
        assert "not your password" in client.post(reverse("account_change_password"), typed).content.decode()
    answer = client.post(reverse("account_change_password"), typed | {"oldpassword": PASSWORD})
    assert "Too many wrong passwords" in answer.content.decode()
    cast.tech.refresh_from_db()
    assert cast.tech.check_password(PASSWORD)


@pytest.mark.parametrize("name", ["account_signup", "account_email", "account_reset_password", "account_inactive"])
def test_pages_that_this_shop_does_not_use_are_not_there(name):
    with pytest.raises(NoReverseMatch):
        reverse(name)


@pytest.mark.parametrize("path", ["/accounts/signup/", "/accounts/email/", "/accounts/password/reset/"])
def test_nobody_signs_up(client, path):
    make_cast()
    assert client.get(path).status_code in {302, 404}
    client.post(LOGIN, {"login": "tomas", "password": PASSWORD})
    assert client.get(path).status_code == 404
