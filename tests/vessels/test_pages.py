"""Every page of the floor opens, for who may see it, with all that can stand on it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.cast import Cast
from vessels import actions
from vessels.models import LogEntry


@pytest.fixture
def desk(cast: Cast, client: Client) -> Client:
    client.force_login(cast.desk)
    return client


def live(cast: Cast) -> None:
    """Let everything happen once that this floor can log."""
    by, boat, engine = cast.tech, cast.vessel, cast.port
    ago = timezone.now() - timedelta(hours=5)
    actions.log_hours(by=by, engine=engine, shown=Decimal("1200"), happened_at=ago)
    wrong = actions.log_hours(by=by, engine=engine, shown=Decimal("1204.5"), text="at the dock")
    actions.retract(by=by, entry=wrong, reason="misread")
    actions.replace_meter(by=by, engine=engine, old_shown=Decimal("1204"), new_shown=Decimal("0"))
    actions.identify_unit(by=by, unit=cast.port_unit, serial="U-7", software="2.1")
    actions.identify_unit(by=by, unit=cast.port_unit, serial="U-7", software="2.2")
    note = actions.write_note(by=by, vessel=boat, text="Bilge dry.")
    actions.amend_text(by=by, entry=note, text="Nearly dry.")
    extra = actions.add_unit(by=by, vessel=boat, name="Gateway")
    actions.remove_unit(by=by, unit=extra)
    actions.change_vessel(by=by, vessel=boat, seen_version=1, changes={"color": "green"})
    generator = actions.add_engine(by=by, vessel=boat, position="generator", meter_shown=Decimal(10))
    actions.remove_engine(by=by, engine=generator)
    buyer = actions.add_customer(
        by=by, name="Harbor Towing", kind="firm", phones=[("office", "555 555 0101")], emails=[("", "tow@example.com")]
    )
    actions.change_owner(by=by, vessel=boat, new_owner=buyer)


PAGES = [
    ("vessels:list", None), ("vessels:customers", None), ("vessels:customer-add", None), ("vessels:vessel-add", None),
    ("vessels:customer", "customer"), ("vessels:customer-change", "customer"),
    ("vessels:vessel", "vessel"), ("vessels:vessel-change", "vessel"), ("vessels:vessel-owner", "vessel"),
    ("vessels:engines", "vessel"), ("vessels:engine-add", "vessel"), ("vessels:unit-add", "vessel"),
    ("vessels:log", "vessel"), ("vessels:note", "vessel"),
    ("vessels:engine-change", "port"), ("vessels:engine-remove", "port"), ("vessels:hours", "port"),
    ("vessels:meter-replace", "port"),
    ("vessels:unit", "port_unit"), ("vessels:unit-change", "port_unit"), ("vessels:unit-remove", "port_unit"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "key"), PAGES)
@pytest.mark.parametrize("lived", [False, True])
def test_a_page_opens(desk: Client, cast: Cast, name: str, key: str | None, lived: bool) -> None:
    if lived:
        live(cast)
    url = reverse(name, args=[getattr(cast, key).pk] if key else [])
    response = desk.get(url)
    assert response.status_code == 200, url
    assert response.content.decode().count("<h1") == 1


@pytest.mark.parametrize(("name", "key"), PAGES)
def test_a_page_asks_for_a_login(client: Client, cast: Cast, name: str, key: str | None) -> None:
    response = client.get(reverse(name, args=[getattr(cast, key).pk] if key else []))
    assert response.status_code == 302


def test_every_entry_has_its_page(cast: Cast, client: Client) -> None:
    live(cast)
    client.force_login(cast.tech)
    entries = list(LogEntry.objects.filter(vessel=cast.vessel))
    assert {entry.kind for entry in entries} >= {
        "hours", "meter-replaced", "unit-identified", "unit-added", "unit-removed", "note", "retraction",
        "details-changed", "engine-added", "engine-removed", "owner-changed",
    }  # fmt: skip
    for entry in entries:
        page = client.get(reverse("vessels:entry", args=[entry.pk]))
        assert entry.digest in page.content.decode()
        for name in ("vessels:amend", "vessels:void"):
            assert client.get(reverse(name, args=[entry.pk])).status_code == 200
