"""What the log says of the doors at its default level, and what it never says."""

import json
import logging

import pytest
from django.conf import settings as project
from django.urls import reverse

from findings.reports import actions
from staff.actions import change_person, set_password
from staff.policy import Role
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db
LOGIN = "/accounts/login/"


class Heard:
    """The security log, as it is written."""

    def __init__(self, caplog, run):
        self.caplog, self.run = caplog, run

    def __call__(self, act):
        """What was told while this was done."""
        self.caplog.clear()
        with self.run(execute=True):
            act()
        return [record.msg for record in self.caplog.records if record.name == "garboard.security"]


@pytest.fixture
def heard(caplog, django_capture_on_commit_callbacks):
    logging.getLogger("garboard.security").propagate = True
    return Heard(caplog, django_capture_on_commit_callbacks)


def test_the_logger_speaks_at_the_default_level():
    assert project.LOGGING["root"]["level"] == "WARNING"
    assert project.LOGGING["loggers"]["garboard.security"]["level"] == "INFO"
    assert logging.getLogger("garboard.security").isEnabledFor(logging.INFO)


def events(told):
    return [entry["event"] for entry in told]


def test_a_failed_login_is_told_by_the_persons_key_and_never_by_what_was_typed(client, heard):
    cast = make_cast()
    told = heard(lambda: client.post(LOGIN, {"login": "tomas", "password": "hunter2-hunter2"}))
    assert events(told) == ["login failed"]
    assert told[0]["person"] == cast.tech.pk
    assert told[0]["address"] == "127.0.0.1"
    told = heard(lambda: client.post(LOGIN, {"login": "my-password-in-the-wrong-box", "password": "x"}))
    assert events(told) == ["login failed"]
    assert "person" not in told[0]
    assert "wrong-box" not in json.dumps(told, default=str)
    assert "hunter2" not in json.dumps(told, default=str)


def test_a_lockout_is_told(client, heard):
    make_cast()
    told = heard(lambda: [client.post(LOGIN, {"login": "tomas", "password": "wrong"}) for _ in range(6)])
    assert events(told) == ["login failed"] * 5 + ["login locked"]


def test_a_login_is_told(client, heard):
    make_cast()
    assert events(heard(lambda: client.post(LOGIN, {"login": "tomas", "password": PASSWORD}))) == ["logged-in"]


def test_a_refusal_by_role_is_told(client, heard):
    cast = make_cast()
    client.force_login(cast.desk)
    told = heard(lambda: client.get(reverse("staff:list")))
    assert events(told) == ["refused by role"]
    assert (told[0]["person"], told[0]["where"], told[0]["role"]) == (cast.desk.pk, "staff:list", "front-desk")


def test_a_changed_role_and_a_new_password_are_told_with_who_did_it(heard):
    cast = make_cast()
    told = heard(lambda: change_person(by=cast.owner, person=cast.desk, changes={"role": Role.MANAGER}))
    assert events(told) == ["role-changed"]
    assert (told[0]["person"], told[0]["by"], told[0]["now"]) == (cast.desk.pk, cast.owner.pk, "manager")
    told = heard(lambda: set_password(by=cast.owner, person=cast.desk, password="tidal-lantern-88"))
    assert [(entry["event"], entry["person"], entry["by"]) for entry in told] == [
        ("password-set", cast.desk.pk, cast.owner.pk)
    ]
    assert "tidal" not in json.dumps(told, default=str)


def test_what_is_undone_is_not_told(heard):
    from django.db import transaction

    cast = make_cast()

    def undone():
        with transaction.atomic():
            set_password(by=cast.owner, person=cast.desk, password="tidal-lantern-88")
            transaction.set_rollback(True)

    assert heard(undone) == []


def test_a_withdrawn_report_is_told(heard, tmp_path, settings):
    from files.paper import signing
    from tests.findings.reports import scene

    settings.VAR, settings.MEDIA_ROOT = tmp_path, str(tmp_path / "media")
    signing.make_certificate("Test shop")
    cast = make_cast()
    draft = scene.reviewed(cast, scene.job_with_findings(cast))
    told = heard(lambda: scene.sign(cast.owner, draft))
    assert ("report signed", cast.owner.pk) in [(entry["event"], entry.get("by")) for entry in told]
    draft.refresh_from_db()
    report = draft.issued
    told = heard(lambda: actions.withdraw_report(by=cast.owner, report=report, reason="Misread by Wes"))
    assert events(told) == ["report withdrawn"]
    assert "Wes" not in json.dumps(told, default=str)
