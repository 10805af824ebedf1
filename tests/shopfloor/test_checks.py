"""Each check of the settings: what it refuses, by id, and that its hint says how to mend it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding, pkcs12
from cryptography.x509.oid import NameOID
from django.core.management import call_command
from pytest_django import Settings

from shopfloor import checks, environment
from shopfloor.checks import BadSettingsError, refuse_bad_settings
from shopfloor.environment import ROOT, Problem


def test_good_settings_are_not_refused(settings: Settings, capsys: pytest.CaptureFixture[str]) -> None:
    settings.PUBLIC_URL = "https://garboard.example.com"
    settings.PUBLIC_URL_IS_GIVEN = True
    refuse_bad_settings(for_real=True)
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("url", "expected"),
    [
        ("https://garboard.example.com", []),
        ("https://garboard.example.com:8443", []),
        ("http://127.0.0.1:8000", []),
        ("http://[::1]:8000", []),
        ("http://localhost:8000", []),
        ("http://192.0.2.7:8000", ["shopfloor.W001"]),
        ("http://garboard.example.com", ["shopfloor.W001"]),
        ("garboard.example.com", ["shopfloor.E003"]),
        ("ftp://garboard.example.com", ["shopfloor.E003"]),
        ("https://", ["shopfloor.E003"]),
        ("https://garboard.example.com:eighty", ["shopfloor.E003"]),
        ("https://garboard .example.com", ["shopfloor.E003"]),
        ("https://garboard.example.com/shop", ["shopfloor.E003"]),
        ("https://garboard.example.com?x=1", ["shopfloor.E003"]),
    ],
)
def test_public_url(settings: Settings, url: str, expected: list[str]) -> None:
    settings.PUBLIC_URL = url
    assert checks.ids(checks.check_public_url(None)) == expected


@pytest.mark.parametrize("name", ["*", "https://garboard.example.com", "garboard.example.com:8000"])
def test_a_host_that_is_not_a_host_name(settings: Settings, name: str) -> None:
    settings.ALLOWED_HOSTS = [name, "[::1]", "localhost"]
    found = checks.check_hosts(None)
    assert checks.ids(found) == ["shopfloor.E004"]
    assert found[0].hint


@pytest.mark.parametrize("key", ["boat", "a" * 60, "abcd" * 20])
def test_a_key_that_can_be_guessed(settings: Settings, key: str) -> None:
    settings.SECRET_KEY = key
    found = checks.check_secret_key(None)
    assert checks.ids(found) == ["shopfloor.E005"]
    assert "Leave SECRET_KEY out" in str(found[0].hint)


def p12(password: bytes | None) -> bytes:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Harbor Lantern Marine")])
    now = datetime.now(UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now)
        .not_valid_after(now + timedelta(days=1))
        .sign(key, hashes.SHA256())
    )
    assert password is not None
    return pkcs12.serialize_key_and_certificates(b"shop", key, certificate, None, BestAvailableEncryption(password))


def test_a_certificate_of_the_shops_own(settings: Settings, tmp_path: Path) -> None:
    file = tmp_path / "shop.p12"
    file.write_bytes(p12(b"keel-bolt"))
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = str(file), "keel-bolt"
    assert checks.check_certificate(None) == []
    settings.SIGNING_P12_PASSWORD = "keel-nut"
    assert "does not open" in checks.check_certificate(None)[0].msg
    file.write_bytes(b"not a certificate")
    assert checks.ids(checks.check_certificate(None)) == ["shopfloor.E006"]
    settings.SIGNING_P12 = str(tmp_path / "nothing.p12")
    assert "No such file" in checks.check_certificate(None)[0].msg


def test_the_root_of_a_time_stamp_service(settings: Settings, tmp_path: Path) -> None:
    settings.TIMESTAMP_CA = ""
    assert checks.check_timestamp(None) == []
    settings.TIMESTAMP_CA = str(tmp_path / "root.pem")
    assert checks.check_timestamp(None)[0].msg.endswith("can't be read (No such file or directory).")
    for content in ["", "no certificate", "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n"]:
        (tmp_path / "root.pem").write_text(content)
        assert checks.check_timestamp(None)[0].msg.endswith("holds no certificate."), content
    _, certificate, _ = pkcs12.load_key_and_certificates(p12(b"keel-bolt"), b"keel-bolt")
    assert certificate is not None
    for form in [Encoding.PEM, Encoding.DER]:
        (tmp_path / "root.pem").write_bytes(certificate.public_bytes(form))
        assert checks.check_timestamp(None) == []


def test_a_time_stamp_service_that_is_no_web_address_is_refused_at_the_start(tmp_path: Path) -> None:
    """Found out at the first signature it would be too late."""
    env = {**os.environ, "TIMESTAMP_URL": "not-a-url", "GARBOARD_VAR": str(tmp_path), "GARBOARD_SETTINGS": os.devnull}
    done = subprocess.run(
        [sys.executable, "manage.py", "check"], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode != 0
    assert "TIMESTAMP_URL is not an address that begins with http:// or https://." in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("value", ["ftp://stamp.example.com/", "stamp.example.com/tsa", "https://a b/", "https://a:b/"])
def test_what_is_no_web_address(value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found: list[Problem] = []
    monkeypatch.setattr(environment, "PROBLEMS", found)
    monkeypatch.setenv("TIMESTAMP_URL", value)
    assert environment.address("TIMESTAMP_URL", ["http", "https"], "https://stamp.example.com/tsa") == ""
    assert [problem.says for problem in found] == [
        "TIMESTAMP_URL is not an address that begins with http:// or https://."
    ]


def test_a_var_that_is_no_folder(settings: Settings, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    settings.VAR = tmp_path / "file" / "var"
    assert checks.ids(checks.check_var(None)) == ["shopfloor.E008"]
    settings.VAR = tmp_path / "var"
    assert checks.check_var(None) == []


def test_a_database_url_without_a_database(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DATABASE_URL", "postgresql://shop@127.0.0.1/")
    monkeypatch.setitem(settings.DATABASES["default"], "NAME", "")
    assert checks.ids(checks.check_database_name(None)) == ["shopfloor.E009"]


def test_a_queue_with_the_embedded_database(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.REDIS_URL = "redis://127.0.0.1/0"
    monkeypatch.setenv("DATABASE_URL", "postgresql://postgres@/garboard?host=%2Fsrv%2Fvar%2Fpostgresql%2Fsocket")
    assert checks.ids(checks.check_database_name(None)) == ["shopfloor.E010"]
    monkeypatch.setenv("DATABASE_URL", "postgresql://shop@127.0.0.1/garboard")
    assert checks.check_database_name(None) == []


def test_only_for_real_use_the_address_is_wanted_and_debug_refused(
    settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.PUBLIC_URL_IS_GIVEN = False
    settings.DEBUG = True
    refuse_bad_settings(for_real=False)
    with pytest.raises(BadSettingsError) as ended:
        refuse_bad_settings(for_real=True)
    assert ended.value.code == 2
    said = capsys.readouterr().err.splitlines()
    assert [line.split("(")[-1] for line in said] == ["shopfloor.E002)", "shopfloor.E007)"]
    assert "Set it to what people type in the browser" in said[0]


def test_a_warning_is_said_and_does_not_refuse(settings: Settings, capsys: pytest.CaptureFixture[str]) -> None:
    settings.PUBLIC_URL = "http://garboard.example.com"
    settings.PUBLIC_URL_IS_GIVEN = True
    refuse_bad_settings(for_real=True)
    assert "passwords cross the network in the clear" in capsys.readouterr().err


def test_manage_check_says_the_same(monkeypatch: pytest.MonkeyPatch, settings: Settings) -> None:
    from django.core.management.base import SystemCheckError

    monkeypatch.setattr(environment, "PROBLEMS", [Problem("PORT", "PORT is not a number.", "Enter a number.")])
    with pytest.raises(SystemCheckError, match=r"shopfloor\.E001.*PORT is not a number"):
        call_command("check")


UNREADABLE = {
    "DEBUG": ("perhaps", "DEBUG is neither on nor off."),
    "PORT": ("eighty", "PORT is not a whole number from 1 to 65535."),
    "WEB_CONCURRENCY": ("0", "WEB_CONCURRENCY is not a whole number from 1 to 64."),
    "WEB_THREADS": ("2.5", "WEB_THREADS is not a whole number from 1 to 128."),
    "LOG_LEVEL": ("loud", "LOG_LEVEL is not a word known here."),
    "DATABASE_URL": ("mysql://shop@127.0.0.1/shop", "DATABASE_URL is not an address that begins with postgres://"),
    "REDIS_URL": ("127.0.0.1:6379", "REDIS_URL is not an address that begins with redis:// or rediss://."),
}


@pytest.mark.parametrize("values", [{name: value for name, (value, _) in UNREADABLE.items()}, {"PORT": "70000"}])
def test_values_that_cannot_be_read_are_remembered_and_their_defaults_stand_in(
    values: dict[str, str], project_root: Path
) -> None:
    code = (
        "import json, shopfloor.settings as s\nfrom shopfloor.environment import PROBLEMS\n"
        "print(json.dumps({p.name: [p.says, p.hint] for p in PROBLEMS}))\n"
        "print(s.PORT, s.DEBUG, s.WEB_CONCURRENCY, s.WEB_THREADS, s.LOG_LEVEL, s.REDIS_URL, sep='|')"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=project_root,
        env=os.environ | values,
        capture_output=True,
        text=True,
        check=False,
    )
    told, defaults = done.stdout.splitlines()
    found = json.loads(told)
    assert set(found) == set(values), done.stderr
    for name, (says, hint) in found.items():
        assert says.startswith(UNREADABLE[name][1])
        assert name in hint or "Enter one of" in hint
    assert defaults == "8000|False|2|8|WARNING|"


def test_https_without_a_named_proxy_is_warned_of(settings):
    settings.HTTPS = True
    assert checks.ids(checks.check_proxies(None)) == ["shopfloor.W002"]
    settings.TRUSTED_PROXIES = ["127.0.0.1"]
    assert checks.check_proxies(None) == []
