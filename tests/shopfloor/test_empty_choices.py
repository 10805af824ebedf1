"""The empty choice of every list says in words what it means: no row of dashes, and no nothing."""

from __future__ import annotations

import lxml.html
import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from tests.cast import make_cast
from tests.shopfloor.scene import Scene
from tests.shopfloor.test_permissions import NOT_THERE, ROUTES, ROWS


def pages_of_the_owner(scene: Scene, client: Client) -> dict[str, str]:
    """Every page that the owner can open, by the name of its address."""
    found = {}
    for row in ROWS:
        if (
            row.to_get == NOT_THERE
            or row.name not in ROUTES
            or row.name in {"account_logout", "health", "reports:preview_pdf"}
        ):
            continue
        answer = client.get(reverse(row.name, args=row.arguments(scene)))
        if answer.streaming:
            b"".join(answer.streaming_content)  # read to its end, as a browser does
            continue
        if (
            answer.status_code == 200
            and answer.content.strip()
            and answer.headers["Content-Type"].startswith("text/html")
        ):
            found[row.name] = answer.content.decode()
    return found


@pytest.mark.django_db
def test_every_empty_choice_has_words(settings, tmp_path) -> None:
    settings.MEDIA_ROOT = str(tmp_path)
    cache.clear()
    scene, client = Scene(make_cast()), Client()
    client.force_login(scene.cast.owner)
    silent, lists = set(), 0
    for name, page in pages_of_the_owner(scene, client).items():
        for option in lxml.html.fromstring(page).xpath("//select//option[not(@value) or @value='']"):
            lists += 1
            said = f"{option.get('label') or ''} {option.text_content()}"
            if not any(letter.isalpha() for letter in said):
                silent.add((name, option.xpath("ancestor::select/@name")[0], said.strip()))
    assert silent == set()
    assert lists > 20
