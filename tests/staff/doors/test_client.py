"""Whose address counts, and who is believed about it."""

import pytest
from django.test import RequestFactory

from staff.doors.client import client_address, counted_address, device


def asked(peer, forwarded=None):
    more = {} if forwarded is None else {"HTTP_X_FORWARDED_FOR": forwarded}
    return RequestFactory().get("/", REMOTE_ADDR=peer, **more)


@pytest.mark.parametrize(
    ("peer", "forwarded", "address"),
    [
        ("192.0.2.9", None, "192.0.2.9"),
        ("192.0.2.9", "198.51.100.1", "192.0.2.9"),  # a stranger's word
        ("127.0.0.1", None, "127.0.0.1"),
        ("127.0.0.1", "198.51.100.1", "198.51.100.1"),
        ("127.0.0.1", "10.9.9.9, 198.51.100.1", "198.51.100.1"),  # the first was made up by whoever asks
        ("127.0.0.1", "198.51.100.1, 172.20.0.3", "198.51.100.1"),  # two proxies, both named
        ("127.0.0.1", "198.51.100.1:4711", "198.51.100.1"),
        ("127.0.0.1", "[2001:db8::7]:4711", "2001:db8::7"),
        ("127.0.0.1", "nonsense", "127.0.0.1"),
        ("127.0.0.1", "198.51.100.1, nonsense", "127.0.0.1"),
        ("127.0.0.1", "", "127.0.0.1"),
        ("127.0.0.1", "172.20.0.3", "172.20.0.3"),
        ("::ffff:127.0.0.1", "198.51.100.1", "198.51.100.1"),
        ("", None, "unknown"),
        ("", "198.51.100.1", "unknown"),
    ],
)
def test_only_named_proxies_are_believed(settings, peer, forwarded, address):
    settings.TRUSTED_PROXIES = ["127.0.0.1", "172.16.0.0/12"]
    assert client_address(asked(peer, forwarded)) == address


def test_without_a_named_proxy_nobody_is_believed(settings):
    assert settings.TRUSTED_PROXIES == []
    assert client_address(asked("127.0.0.1", "198.51.100.1")) == "127.0.0.1"


def test_a_whole_network_that_one_person_has_counts_as_one(settings):
    assert counted_address(asked("2001:db8:1:2:aaaa::1")) == counted_address(asked("2001:db8:1:2:bbbb::9"))
    assert counted_address(asked("2001:db8:1:2::1")) != counted_address(asked("2001:db8:1:3::1"))
    assert counted_address(asked("192.0.2.9")) == "192.0.2.9"


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("Mozilla/5.0 (Linux; Android 14; SM-X200) AppleWebKit/537.36 Chrome/126.0 Safari/537.36", "Chrome on Android"),
        ("Mozilla/5.0 (iPad; CPU OS 17_5 like Mac OS X) Version/17.5 Safari/604.1", "Safari on an iPad"),
        ("Mozilla/5.0 (Windows NT 10.0) Chrome/126.0 Safari/537.36 Edg/126.0", "Edge on Windows"),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:127.0) Gecko Firefox/127.0", "Firefox on Linux"),
        ("<script>alert(1)</script>", "Not known"),
        ("", "Not known"),
    ],
)
def test_a_device_is_told_in_words_of_our_own(said, words):
    request = RequestFactory().get("/", HTTP_USER_AGENT=said)
    assert device(request) == words
