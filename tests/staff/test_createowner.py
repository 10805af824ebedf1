"""``manage.py createowner``."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from staff.management.commands import createowner
from staff.models import Person

pytestmark = pytest.mark.django_db
GOOD = "tidal-lantern-88"


@pytest.fixture(autouse=True)
def _no_owner_in_the_environment(monkeypatch):
    for name in ["USERNAME", "NAME", "PASSWORD", "EMAIL"]:
        monkeypatch.delenv(f"OWNER_{name}", raising=False)


def _run(*args):
    out = StringIO()
    call_command("createowner", *args, stdout=out)
    return out.getvalue()


def test_from_arguments_and_environment(monkeypatch):
    monkeypatch.setenv("OWNER_PASSWORD", GOOD)
    assert "Orla Brandt can log in now, with the user name orla." in _run("--username", "Orla", "--name", "Orla Brandt")
    orla = Person.objects.get()
    assert orla.role == "owner"
    assert orla.check_password(GOOD)


def test_all_from_the_environment(monkeypatch):
    for name, value in [
        ("USERNAME", "orla"),
        ("NAME", "Orla Brandt"),
        ("PASSWORD", GOOD),
        ("EMAIL", "orla@example.com"),
    ]:
        monkeypatch.setenv(f"OWNER_{name}", value)
    _run("--no-input")
    assert Person.objects.get().email == "orla@example.com"


@pytest.mark.parametrize(
    ("given", "password", "sentence"),
    [
        ([], GOOD, "Give --username or OWNER_USERNAME"),
        (["--username", "orla"], GOOD, "Give --name or OWNER_NAME"),
        (["--username", "orla", "--name", "Orla"], "", "OWNER_PASSWORD"),
        (["--username", "orla", "--name", "Orla"], "short", "Password: .*at least 10 characters"),
        (["--username", "or la", "--name", "Orla"], GOOD, "User name: Use lowercase letters"),
    ],
)
def test_what_is_missing_or_wrong_is_said(monkeypatch, given, password, sentence):
    monkeypatch.setenv("OWNER_PASSWORD", password)
    with pytest.raises(CommandError, match=sentence):
        _run("--no-input", *given)
    assert not Person.objects.exists()


def test_taken_user_name(monkeypatch):
    monkeypatch.setenv("OWNER_PASSWORD", GOOD)
    _run("--username", "orla", "--name", "Orla Brandt")
    with pytest.raises(CommandError, match="User name: This user name is already taken"):
        _run("--username", "orla", "--name", "Another")


def test_asks_for_what_is_missing_in_a_terminal(monkeypatch):
    answers = iter(["", "orla", "Orla Brandt"])
    passwords = iter([GOOD, GOOD])
    monkeypatch.setattr(createowner.sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda _: next(answers))
    monkeypatch.setattr(createowner.getpass, "getpass", lambda _: next(passwords))
    _run()
    assert Person.objects.get().check_password(GOOD)


def test_two_different_passwords_in_a_terminal(monkeypatch):
    passwords = iter([GOOD, "another"])
    monkeypatch.setattr(createowner.sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(createowner.getpass, "getpass", lambda _: next(passwords))
    with pytest.raises(CommandError, match="not the same"):
        _run("--username", "orla", "--name", "Orla Brandt")
    assert not Person.objects.exists()
