"""Who may not see prices reads none in the answer to a form either: refusal, question, confirmation or the page after.

The pages themselves are asked in ``test_permissions``. Here each form that a technician may send is sent: empty, filled
as its row in ``test_every_form_twice`` says, and jobs moved, in a shop where something is authorized,
invoiced, deposited, stopped and owed.
"""

from __future__ import annotations

import contextlib
import re
from decimal import Decimal
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.authorizations.models import AuthorizationRules
from billing.invoices.actions import receive_deposit
from commands.refusals import Refused
from files.paper.signing import SignedPdf
from shopfloor.health import note_heartbeat
from staff.models import ShopProfile
from staff.policy import ALLOWED, Permission, Role
from staff.queries import shop_profile
from tests.cast import make_cast, session_of
from tests.commands.test_every_form_twice import FORMS, sent
from tests.findings.story import open_job
from tests.shopfloor.scene import Scene
from tests.shopfloor.test_permissions import NOT_THERE, ROUTES, ROWS, priced
from vessels.actions import log_hours
from workorders.actions import add_charge
from workorders.models import Job
from workorders.states import OPEN, JobState

SUMS = re.compile(
    r"\$ ?[0-9][0-9.,]*|\bUSD\b|246\.81|137\.77|370\.2[12]|206\.6[56]|\b(?:130|500|60|90|40|30|17)\.00\b"
    r"|(?<![\w-])(?:99,?999|8,?421)(?![\w-])"  # no part of a random id or token
)
"""The sign before a figure, the currency, and sums of the scene with and without it."""
OWN = {"account_login", "account_logout", "account_change_password", "staff:end_session", "staff:end_other_sessions"}
"""What ends the session that asks."""


def takes(row: Any) -> bool:
    """Whether a technician who sees no prices may send it something."""
    is_there = row.to_post != NOT_THERE and row.name in ROUTES and row.name not in OWN
    return is_there and (not isinstance(row.to_post, Permission) or Role.TECHNICIAN in ALLOWED[row.to_post])


def with_money(scene: Scene) -> Scene:
    """Something of every sort of money on the job, and a charge that was stopped past what was agreed."""
    priced(scene)
    for row in ROWS:
        row.arguments(scene)
    receive_deposit(by=scene.cast.desk, job=scene.job, amount=Decimal("17.00"), means="cash")
    with contextlib.suppress(Refused):
        add_charge(by=scene.cast.owner, job=scene.job, kind="fee", description="Rebuild", unit_price=Decimal("99999"))
    AuthorizationRules.objects.update_or_create(
        pk=1, defaults={"estimate_first": True, "estimate_from": Decimal("8421"), "specify_more": True}
    )
    return scene


class Shop:
    """A shop with money in it, and a technician who may not see any."""

    def __init__(self) -> None:
        cache.clear()
        self.scene = with_money(Scene(make_cast()))
        log_hours(by=self.scene.cast.desk, engine=self.scene.cast.port, shown=100)
        shop_profile()
        ShopProfile.objects.update(technicians_see_prices=False, technicians_open_jobs=False)
        self.session = session_of(self.scene.cast.tech)

    def client(self, **more: Any) -> Client:
        client = Client(**more)
        client.cookies["sessionid"] = self.session
        return client

    def told(self, address: str, body: dict[str, Any], **headers: str) -> set[str]:
        """The sums in the answer and in the page that it leads to; what was written is undone."""
        cache.clear()
        found: set[str] = set()
        with transaction.atomic():
            answer = self.client(headers=headers).post(address, body)
            assert answer.status_code != 500
            client = self.client()
            client.cookies.update(answer.cookies)
            found |= set(SUMS.findall(_held(answer)))
            if answer.status_code == 302 and answer.headers["Location"].startswith("/"):
                found |= set(SUMS.findall(_held(client.get(answer.headers["Location"]))))
            transaction.set_rollback(True)
        return found


def _held(answer: Any) -> str:
    held = b"".join(answer.streaming_content) if answer.streaming else answer.content
    for close in answer._resource_closers:  # its own close() would end the test's connection as well
        close()
    return held.decode(errors="replace") + str(answer.headers)


@pytest.mark.django_db
class TestAnswers:
    """Of one shop; what is sent to it changes nothing for what is sent next."""

    @pytest.fixture(scope="class")
    @classmethod
    def shop(cls, class_db) -> Shop:
        return Shop()

    @pytest.fixture(autouse=True)
    def plain_papers(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("findings.reports.views.drafts.draw_pdf", lambda *_: SimpleNamespace(data=b"%PDF"))
        monkeypatch.setattr("files.paper.signing.sign", lambda pdf, *_, **__: SignedPdf(pdf, "0" * 64))
        note_heartbeat()

    @pytest.mark.parametrize("row", [row for row in ROWS if takes(row)], ids=lambda row: row.name)
    def test_no_form_is_answered_with_a_sum(self, row: Any, shop: Shop) -> None:
        address = reverse(row.name, args=row.arguments(shop.scene))
        typed = {"entry_id": str(uuid4()), "text": "x", "q": "TW", "reason": "x", "step": "look", "quantity": "9999"}
        assert shop.told(address, {}) == set()
        assert shop.told(address, typed, **{"HX-Request": "true"}) == set()
        if row.name in FORMS:
            with transaction.atomic():
                FORMS[row.name].before(shop.scene)
                query = FORMS[row.name].query.format(
                    customer=shop.scene.cast.customer.pk, vessel=shop.scene.cast.vessel.pk
                )
                body: dict[str, Any] = {}
                with contextlib.suppress(AssertionError):  # the page has no such form in this state of things
                    body = sent(shop.client(), shop.scene, row.name, address + query)
                assert shop.told(address + query, body) == set()
                transaction.set_rollback(True)

    @pytest.mark.parametrize("is_given", [True, False])
    def test_a_job_is_moved_without_a_sum(self, is_given: bool, shop: Shop) -> None:
        """Into every state that money has to say something about, with and without an estimate that was given."""
        found = shop.scene.job
        with transaction.atomic():
            if not is_given:
                found.estimates.exclude(given_at=None).update(job=open_job(shop.scene.cast))
            for now in (JobState.ESTIMATE, JobState.IN_WORK, JobState.READY, JobState.CLOSED):
                closed_at = None if now in OPEN else timezone.now()
                Job.objects.filter(pk=found.pk).update(state=now.value, closed_at=closed_at)
                found.refresh_from_db()
                for to in (JobState.AUTHORIZED, JobState.IN_WORK, JobState.READY, JobState.CLOSED, JobState.CANCELED):
                    body = {"to": to.value, "reason": "", "seen_version": found.version, "seen_state": now.value}
                    assert shop.told(reverse("workorders:move", args=[found.number]), body) == set(), (now, to)
            transaction.set_rollback(True)

    def test_the_sums_are_there_to_be_told(self, shop: Shop) -> None:
        """Whoever may see them is told some by the same forms: otherwise nothing would be tried here."""
        ShopProfile.objects.update(technicians_see_prices=True)
        try:
            found = shop.scene.job
            sent_ = {"to": "closed", "reason": "", "seen_version": found.version, "seen_state": found.state}
            assert shop.told(reverse("workorders:move", args=[found.number]), sent_)
            assert sum(takes(row) for row in ROWS) > 40
        finally:
            ShopProfile.objects.update(technicians_see_prices=False)
