"""Open sessions: listed, ended, over when they lie idle, and in no cache."""

import os
import re
import subprocess
import sys
import time

import pytest
from django.conf import settings as project
from django.test import Client
from django.urls import reverse

from staff.actions import change_person, set_password
from staff.doors.sessions import LONGEST, LONGEST_SHARED
from staff.models import Session
from staff.queries import shop_profile
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db
LOGIN = "/accounts/login/"
TABLET = "Mozilla/5.0 (Linux; Android 14) Chrome/126.0 Safari/537.36"


def logged_in(name="tomas", agent=TABLET, **more):
    client = Client(HTTP_USER_AGENT=agent)
    assert client.post(LOGIN, {"login": name, "password": PASSWORD, **more}).status_code == 302
    return client


@pytest.fixture
def clock(monkeypatch):
    """Lets time pass for sessions."""
    passed = [0]
    monkeypatch.setattr("staff.doors.sessions.time.time", lambda: time.monotonic() + 1_800_000_000 + passed[0])

    def let_pass(seconds):
        passed[0] += seconds

    return let_pass


def test_each_session_is_listed_with_device_address_and_times():
    cast = make_cast()
    here, there = logged_in(), logged_in(agent="Mozilla/5.0 (iPad) Safari/604.1")
    page = here.get(reverse("staff:own_login")).content.decode()
    assert "Chrome on Android" in page
    assert "Safari on an iPad" in page
    assert "127.0.0.1" in page
    assert page.count("This device, now") == 1
    for client in [here, there]:
        assert client.session.session_key not in page
    assert Session.objects.filter(person=cast.tech).count() == 2


def test_one_session_is_ended_and_the_other_stays():
    make_cast()
    here, there = logged_in(), logged_in()
    row = Session.objects.get(pk=there.session.session_key)
    answer = here.post(reverse("staff:end_session", args=[row.number]), follow=True)
    assert "That session is ended" in answer.content.decode()
    assert there.get("/").status_code == 302
    assert here.get("/").status_code == 200


def test_nobody_ends_somebody_elses_session():
    make_cast()
    mine, theirs = logged_in("dora"), logged_in("tomas")
    row = Session.objects.get(pk=theirs.session.session_key)
    mine.post(reverse("staff:end_session", args=[row.number]))
    assert theirs.get("/").status_code == 200


def test_all_others_are_ended_at_once():
    make_cast()
    here, *others = logged_in(), logged_in(), logged_in()
    here.post(reverse("staff:end_other_sessions"))
    assert [client.get("/").status_code for client in [here, *others]] == [200, 302, 302]


def test_a_new_password_ends_the_other_sessions():
    make_cast()
    here, there = logged_in(), logged_in()
    new = {"oldpassword": PASSWORD, "password1": "tidal-lantern-88", "password2": "tidal-lantern-88"}
    assert here.post("/accounts/password/", new).status_code == 302
    assert here.get("/").status_code == 200
    assert there.get("/").status_code == 302
    assert Session.objects.filter(person__username="tomas").count() == 1


def test_a_new_role_and_a_set_password_end_all_sessions():
    cast = make_cast()
    client = logged_in()
    change_person(by=cast.owner, person=cast.tech, changes={"role": "manager"})
    assert client.get("/").status_code == 302
    client = logged_in()
    set_password(by=cast.owner, person=cast.tech, password="tidal-lantern-88")
    assert client.get("/").status_code == 302
    assert not Session.objects.filter(person=cast.tech).exists()


def test_an_owner_who_steps_down_is_logged_out_with_a_page_that_works():
    cast = make_cast()
    change_person(by=cast.owner, person=cast.manager, changes={"role": "owner"})
    client = logged_in("orla")
    typed = {"name": "Orla Brandt", "username": "orla", "role": "manager", "is_active": "on", "seen_version": "1"}
    answer = client.post(reverse("staff:person", args=[cast.owner.pk]), typed | {"own_word": PASSWORD}, follow=True)
    assert answer.status_code == 200
    assert answer.redirect_chain[-1][0].startswith(LOGIN)


def test_an_idle_session_is_over_and_a_used_one_is_not(clock):
    make_cast()
    client = logged_in()
    idle = shop_profile().idle_minutes * 60
    for _ in range(3):
        clock(idle - 60)
        assert client.get("/").status_code == 200
    clock(idle + 60)
    assert client.get("/").status_code == 302


def test_on_a_shared_device_it_is_over_sooner_and_the_device_is_remembered(clock):
    make_cast()
    client = logged_in(shared="on")
    assert Session.objects.get(pk=client.session.session_key).is_shared
    clock(shop_profile().shared_idle_minutes * 60 + 60)
    assert client.get("/").status_code == 302
    assert _is_ticked(client.get(LOGIN).content.decode())
    assert client.post(LOGIN, {"login": "tomas", "password": PASSWORD}).status_code == 302
    assert not Session.objects.get(pk=client.session.session_key).is_shared
    client.post("/accounts/logout/")
    assert not _is_ticked(client.get(LOGIN).content.decode())


def _is_ticked(page):
    tag = re.search(r'<input[^>]*name="shared"[^>]*>', page)
    assert tag is not None
    return "checked" in tag[0]


@pytest.mark.parametrize(("more", "longest"), [({}, LONGEST), ({"shared": "on"}, LONGEST_SHARED)])
def test_no_session_lasts_for_ever(clock, more, longest):
    make_cast()
    shop = shop_profile()
    shop.idle_minutes = shop.shared_idle_minutes = 10_000
    shop.save()
    client = logged_in(**more)
    for _ in range(2):
        clock(longest // 2 - 60)
        assert client.get("/").status_code == 200
    clock(180)
    assert client.get("/").status_code == 302


def test_what_is_seen_after_a_login_is_kept_by_no_browser():
    cast = make_cast()
    client = logged_in("orla")
    for path in ["/", "/parts/", reverse("staff:list"), f"/vessels/{cast.vessel.pk}/"]:
        assert client.get(path).headers["Cache-Control"] == "private, no-store", path
    assert "no-store" in client.get(LOGIN).headers.get("Cache-Control", "") or client.get(LOGIN).status_code == 302
    static = client.get("/static/css/base.css")
    static.close()
    assert "no-store" not in static.headers.get("Cache-Control", "")


def test_a_request_costs_no_more_for_knowing_its_session(django_assert_max_num_queries):
    make_cast()
    client = logged_in()
    client.get("/parts/")
    with django_assert_max_num_queries(5):
        client.get("/parts/")


def test_cookies_are_bound_to_this_very_host_where_there_is_tls(project_root):
    said = subprocess.run(
        [sys.executable, "-c", "from django.conf import settings as s; print(s.SESSION_COOKIE_NAME, "
         "s.CSRF_COOKIE_NAME, s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, "
         "s.SESSION_COOKIE_PATH, s.SESSION_COOKIE_DOMAIN)"],
        cwd=project_root, env=os.environ | {"PUBLIC_URL": "https://garboard.example.com"}, capture_output=True,
        text=True, check=True,
    ).stdout  # fmt: skip
    assert said.split() == ["__Host-sessionid", "__Host-csrftoken", "True", "True", "/", "None"]
    assert project.SESSION_COOKIE_NAME == "sessionid"
