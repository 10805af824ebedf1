"""What was kept in other places before, and the logo."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.urls import reverse
from pytest_django import Settings

from files import store
from staff.models import ShopProfile
from staff.queries import shop_profile

pytestmark = pytest.mark.django_db


def test_files_of_the_three_earlier_places_move_into_the_store(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = str(tmp_path / "media")
    report, log, logo = b"%PDF signed", b"(1.0) can0 123#00", b"\x89PNG logo"
    old = {}
    for data, folder, ending in [(report, "reports", ".pdf"), (log, "can-logs", "")]:
        digest = store.keep_bytes(data).digest
        old[digest] = tmp_path / "media" / folder / digest[:2] / f"{digest}{ending}"
        old[digest].parent.mkdir(parents=True)
        store.path_of(digest).rename(old[digest])
    empty = tmp_path / "media" / "reports" / "00" / f"{'0' * 64}.pdf"
    empty.parent.mkdir()
    empty.touch()  # what a power cut left
    (tmp_path / "media" / "shop").mkdir()
    (tmp_path / "media" / "shop" / "logo-1.png").write_bytes(logo)
    shop = shop_profile()
    ShopProfile.objects.filter(pk=shop.pk).update(logo="shop/logo-1.png")
    migration = importlib.import_module("files.migrations.0001_one_store")
    for _ in range(2):
        migration.move_files(apps, None)
    assert [store.read(digest) for digest in old] == [report, log]
    assert not any(path.exists() for path in old.values())
    assert empty.exists()
    with shop_profile().logo.open("rb") as kept:
        assert kept.read() == logo
    assert (tmp_path / "media").stat().st_mode & 0o777 == 0o700


def test_a_lost_logo_is_no_error(client, settings: Settings, tmp_path: Path) -> None:
    from tests.cast import make_cast

    settings.MEDIA_ROOT = str(tmp_path / "media")
    client.force_login(make_cast().owner)
    name = ShopProfile._meta.get_field("logo").storage.save("logo.png", ContentFile(b"\x89PNG"))
    ShopProfile.objects.filter(pk=shop_profile().pk).update(logo=name)
    shown = client.get(reverse("staff:logo"))
    assert (shown.status_code, b"".join(shown.streaming_content)) == (200, b"\x89PNG")
    for close in shown._resource_closers:
        close()
    store.path_of(name.rsplit("/", 1)[-1]).unlink()
    assert client.get(reverse("staff:logo")).status_code == 404
