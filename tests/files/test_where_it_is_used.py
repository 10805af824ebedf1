"""What was kept in other places before, and the logo."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from pytest_django import Settings

from files import store
from staff.models import ShopProfile
from staff.queries import shop_profile

pytestmark = pytest.mark.django_db


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
