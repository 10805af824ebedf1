"""Second factors: set up, asked for, used once, removed, and required where the shop wants them."""

import base64
import hashlib
import hmac
import html
import json
import re
import struct
import time
from datetime import timedelta

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from staff.doors.factors import matching_factor
from staff.doors.limits import SECOND_FACTORS
from staff.models import Counter, Session
from staff.queries import shop_profile
from tests.cast import PASSWORD, make_cast
from tests.staff.doors.soft_key import SoftKey

pytestmark = pytest.mark.django_db
LOGIN, STEP = "/accounts/login/", "/accounts/login/second-step/"
SECRET = base64.b32encode(b"12345678901234567890").decode()


def code_at(secret, moment):
    """The code of a moment by RFC 6238, worked out here anew."""
    digest = hmac.new(base64.b32decode(secret), struct.pack(">Q", int(moment) // 30), hashlib.sha1).digest()
    offset = digest[-1] & 15
    return f"{(struct.unpack('>I', digest[offset : offset + 4])[0] & 0x7FFFFFFF) % 10**6:06}"


def now(secret=SECRET, *, windows=0):
    return code_at(secret, time.time() + 30 * windows)


def give_app(person):
    TOTP.activate(person, SECRET)
    return RecoveryCodes.activate(person).get_unused_codes()


def password_only(name="tomas"):
    client = Client()
    answer = client.post(LOGIN, {"login": name, "password": PASSWORD})
    return client, answer


@pytest.mark.parametrize(("moment", "code"), [(59, "287082"), (1111111109, "081804"), (2000000000, "279037")])
def test_codes_are_those_of_the_standard(moment, code):
    """RFC 6238, appendix B, the last six of its eight digits (from the standard)."""
    assert code_at(SECRET, moment) == code


def test_an_app_is_set_up_with_a_code_and_the_own_password_and_codes_are_shown_once(client):
    cast = make_cast()
    client.force_login(cast.tech)
    page = client.get(reverse("staff:factor_app")).content.decode()
    assert "data:image/svg+xml;base64," in page
    secret = re.search(r'<b class="code">([A-Z2-7 ]+)</b>', page)[1].replace(" ", "")
    for wrong in [{"code": "000000", "own_word": PASSWORD}, {"code": now(secret), "own_word": "wrong"}]:
        assert client.post(reverse("staff:factor_app"), wrong).status_code == 422
        assert not Authenticator.objects.exists()
    done = client.post(reverse("staff:factor_app"), {"code": now(secret), "own_word": PASSWORD}, follow=True)
    assert len(re.findall(r'<li class="code">\d{8}</li>', done.content.decode())) == 10
    again = client.get(reverse("staff:factor_codes")).content.decode()
    assert not re.findall(r"\d{8}</li>", again)
    assert secret not in str(list(Authenticator.objects.values_list("data", flat=True))), "kept encrypted"
    assert "Second factor added" in client.get(reverse("staff:own_login")).content.decode()


def test_the_password_alone_no_longer_opens_anything():
    cast = make_cast()
    give_app(cast.tech)
    client, answer = password_only()
    assert (answer.status_code, answer.url) == (302, STEP)
    assert client.get("/").status_code == 302
    page = client.get(STEP).content.decode()
    assert "One more step" in page
    assert "Use your passkey" not in page
    wrong = client.post(STEP, {"code": "000000"})
    assert "is not correct" in wrong.content.decode()
    assert client.get("/").status_code == 302
    done = client.post(STEP, {"code": now()})
    assert (done.status_code, done.url) == (302, "/")
    assert client.get("/").context["user"] == cast.tech


def test_a_code_opens_once_even_when_the_cache_forgot_it():
    from django.core.cache import cache

    cast = make_cast()
    give_app(cast.tech)
    code = now()
    for expected in [302, 200]:
        client, _ = password_only()
        cache.clear()
        assert client.post(STEP, {"code": code}).status_code == expected


def test_a_clock_half_a_minute_off_is_fine_and_an_old_code_is_not():
    cast = make_cast()
    give_app(cast.tech)
    assert matching_factor(cast.tech, now(windows=-1))
    assert not matching_factor(cast.tech, now(windows=-3))


def test_a_recovery_code_opens_once_and_is_told():
    cast = make_cast()
    codes = give_app(cast.tech)
    for expected in [302, 200]:
        client, _ = password_only()
        assert client.post(STEP, {"code": codes[0]}).status_code == expected
    client, _ = password_only()
    client.post(STEP, {"code": codes[1]})
    assert "Recovery code used" in client.get(reverse("staff:own_login")).content.decode()
    assert "8 left" in client.get(reverse("staff:factors")).content.decode()


@pytest.mark.parametrize("typed", ["", "abcdef", "²²²²²²", "123", "1" * 300, "000000\x00", "１２３４５６"])
def test_what_is_no_code_is_refused_without_a_fault(typed):
    cast = make_cast()
    give_app(cast.tech)
    client, _ = password_only()
    assert client.post(STEP, {"code": typed}).status_code == 200
    assert client.get("/").status_code == 302


@pytest.mark.parametrize(
    "credential",
    [
        "[" * 100_000,
        '{"id": "\\u0000"}',
        "x" * 30_000,
        "",
        "x",
        "[]",
        "{}",
        '{"id": 1}',
        '{"id":"a","rawId":"a","type":"public-key"}',
    ],
)
def test_what_is_no_passkey_is_refused_without_a_fault(credential):
    cast = make_cast()
    give_app(cast.tech)
    client, _ = password_only()
    assert client.post(STEP, {"credential": credential}).status_code == 200
    assert client.get("/").status_code == 302
    inside = Client(SERVER_NAME="localhost")
    inside.force_login(cast.owner)
    typed = {"name": "Key", "credential": credential, "own_word": PASSWORD}
    assert inside.get(reverse("staff:factor_passkey")).status_code == 200
    assert inside.post(reverse("staff:factor_passkey"), typed).status_code == 422


def test_guessing_codes_is_limited_and_does_not_lock_out_elsewhere():
    cast = make_cast()
    codes = give_app(cast.tech)
    client, _ = password_only()
    client.post(STEP, {"code": codes[0]})  # came in from 127.0.0.1
    thief = Client(REMOTE_ADDR="203.0.113.9")
    thief.post(LOGIN, {"login": "tomas", "password": PASSWORD})
    for _ in range(SECOND_FACTORS.most):
        assert "is not correct" in thief.post(STEP, {"code": "000000"}).content.decode()
    assert "Too many wrong codes" in thief.post(STEP, {"code": codes[1]}).content.decode()
    client, _ = password_only()
    assert client.post(STEP, {"code": codes[2]}).status_code == 302


def test_the_code_is_as_good_as_the_password_where_one_is_asked_again(client):
    cast = make_cast()
    give_app(cast.owner)
    client.force_login(cast.owner)
    address = reverse("staff:password", args=[cast.tech.pk])
    typed = {"password": "tidal-lantern-88", "again": "tidal-lantern-88"}
    code = now()
    assert client.post(address, typed | {"own_word": code}).status_code == 302
    assert client.post(address, typed | {"own_word": code}).status_code == 422


def test_adding_a_factor_ends_other_sessions_and_so_does_taking_all_off():
    cast = make_cast()
    here, there = Client(), Client()
    here.force_login(cast.tech)
    there.force_login(cast.tech)
    page = here.get(reverse("staff:factor_app")).content.decode()
    secret = re.search(r'<b class="code">([A-Z2-7 ]+)</b>', page)[1].replace(" ", "")
    here.post(reverse("staff:factor_app"), {"code": now(secret), "own_word": PASSWORD})
    assert (here.get("/").status_code, there.get("/").status_code) == (200, 302)
    owner = Client()
    owner.force_login(cast.owner)
    reset = reverse("staff:factors_reset", args=[cast.tech.pk])
    assert owner.post(reset, {}).status_code == 422
    assert owner.post(reset, {"own_word": PASSWORD}).status_code == 302
    assert here.get("/").status_code == 302
    assert not Authenticator.objects.exists()
    client, answer = password_only()
    assert answer.url == "/"
    seen = client.get(reverse("staff:own_login")).content.decode()
    assert "All second factors removed" in seen
    assert "Orla Brandt" in seen


def test_one_takes_off_ones_own_with_the_password_and_nobody_elses(client):
    cast = make_cast()
    give_app(cast.tech)
    theirs = Authenticator.objects.get(user=cast.tech, type="totp")
    client.force_login(cast.desk)
    assert client.post(reverse("staff:factor_remove", args=[theirs.pk]), {"own_word": PASSWORD}).status_code == 404
    client.force_login(cast.tech)
    assert client.post(reverse("staff:factor_remove", args=[theirs.pk]), {"own_word": "x"}).status_code == 422
    assert client.post(reverse("staff:factor_remove", args=[theirs.pk]), {"own_word": PASSWORD}).status_code == 302
    assert not Authenticator.objects.exists(), "recovery codes go with the last factor"


def want_it_of(*roles):
    shop = shop_profile()
    shop.second_factor_roles = list(roles)
    shop.save()


def test_where_the_role_needs_one_nothing_opens_before_it_is_set_up(client):
    cast = make_cast()
    want_it_of("manager", "owner")
    client.force_login(cast.manager)
    setup = reverse("staff:factors")
    for path in ["/", "/parts/", reverse("staff:own_login"), f"/vessels/{cast.vessel.pk}/"]:
        assert client.get(path).url == setup, path
    assert "Set one up before anything else" in client.get(setup).content.decode()
    page = client.get(reverse("staff:factor_app")).content.decode()
    secret = re.search(r'<b class="code">([A-Z2-7 ]+)</b>', page)[1].replace(" ", "")
    assert client.post(reverse("staff:factor_app"), {"code": now(secret), "own_word": PASSWORD}).status_code == 302
    assert client.get("/").status_code == 200
    kept = Authenticator.objects.get(type="totp")
    refused = client.post(reverse("staff:factor_remove", args=[kept.pk]), {"own_word": PASSWORD})
    assert "Your role needs a second factor" in refused.content.decode()
    client.force_login(cast.tech)
    assert client.get("/").status_code == 200


def test_a_given_password_comes_before_the_second_factor(client):
    cast = make_cast()
    want_it_of("technician")
    cast.tech.password_is_temporary = True
    cast.tech.save()
    client.force_login(cast.tech)
    assert client.get("/").url == reverse("account_change_password")


def test_the_owner_chooses_the_roles_in_the_profile(client):
    cast = make_cast()
    client.force_login(cast.owner)
    page = client.get(reverse("staff:shop")).content.decode()
    assert page.count('name="second_factor_roles"') == 4
    typed = {
        "name": "S", "units": "us", "paper": "letter", "time_zone": "America/New_York", "currency": "USD",
        "labor_rate": "120", "labor_step": "0.10",
        "hold_hours": "50", "hold_days": "365", "idle_minutes": "480",
        "shared_idle_minutes": "15", "seen_version": "1", "second_factor_roles": ["manager", "technician"],
        "own_word": PASSWORD,
    }  # fmt: skip
    assert client.post(reverse("staff:shop"), typed).status_code == 302
    assert shop_profile().second_factor_roles == ["manager", "technician"]
    assert (
        client.post(
            reverse("staff:shop"), typed | {"seen_version": "2", "second_factor_roles": ["captain"]}
        ).status_code
        == 422
    )


def test_the_command_lets_an_owner_in_who_lost_it(capsys):
    cast = make_cast()
    give_app(cast.owner)
    client = Client()
    client.force_login(cast.owner)
    call_command("reset_second_factor", "Orla")
    assert "Orla Brandt logs in with the password alone now" in capsys.readouterr().out
    assert client.get("/").status_code == 302
    assert not Session.objects.filter(person=cast.owner).exists()
    _, answer = password_only("orla")
    assert answer.url == "/"
    call_command("reset_second_factor", "orla")
    assert "had no second factor" in capsys.readouterr().out
    with pytest.raises(CommandError, match="Nobody has the user name"):
        call_command("reset_second_factor", "nobody")


def test_another_secret_key_lets_no_code_in(settings):
    cast = make_cast()
    give_app(cast.tech)
    settings.SECRET_KEY = "another key " * 5
    assert matching_factor(cast.tech, now()) is None
    assert Counter.objects.count() == 0
    assert Authenticator.objects.filter(created_at__gt=cast.tech.date_joined - timedelta(days=1)).count() == 2


def options_of(page):
    return json.loads(html.unescape(re.search(r'data-passkey-options="([^"]+)"', page)[1]))


def test_a_passkey_is_made_and_opens_the_door():
    cast = make_cast()
    key = SoftKey("http://localhost", "localhost")
    inside = Client(SERVER_NAME="localhost")
    inside.force_login(cast.tech)
    address = reverse("staff:factor_passkey")
    options = options_of(inside.get(address).content.decode())
    assert options["publicKey"]["rp"]["id"] == "localhost"
    typed = {"name": "Yard tablet", "credential": key.made(options), "own_word": PASSWORD}
    made = inside.post(address, typed)
    assert made.status_code == 302, made.context["form"].errors
    assert "Yard tablet" in inside.get(reverse("staff:factors")).content.decode()
    client = Client(SERVER_NAME="localhost")
    assert client.post(LOGIN, {"login": "tomas", "password": PASSWORD}).url == STEP
    strange = SoftKey("http://localhost", "localhost")
    assert (
        client.post(STEP, {"credential": strange.used(options_of(client.get(STEP).content.decode()))}).status_code
        == 200
    )
    assert client.get("/").status_code == 302
    other = SoftKey("https://elsewhere.example.com", "localhost", key.id, key.key)
    assert (
        client.post(STEP, {"credential": other.used(options_of(client.get(STEP).content.decode()))}).status_code == 200
    )
    shown = key.used(options_of(client.get(STEP).content.decode()))
    assert client.post(STEP, {"credential": shown}).url == "/"
    assert client.get("/").context["user"] == cast.tech
    again = Client(SERVER_NAME="localhost")
    again.post(LOGIN, {"login": "tomas", "password": PASSWORD})
    again.get(STEP)
    assert again.post(STEP, {"credential": shown}).status_code == 200, "what was heard opens nothing a second time"


def test_a_passkey_without_the_own_password_is_not_kept():
    cast = make_cast()
    inside = Client(SERVER_NAME="localhost")
    inside.force_login(cast.tech)
    address = reverse("staff:factor_passkey")
    options = options_of(inside.get(address).content.decode())
    made = SoftKey("http://localhost", "localhost").made(options)
    assert inside.post(address, {"name": "Thief", "credential": made, "own_word": "wrong"}).status_code == 422
    assert not Authenticator.objects.exists()
