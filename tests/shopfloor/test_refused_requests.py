"""A request that cannot be taken is answered with a page that says what to do."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db


def test_a_body_that_is_too_large_is_told_the_limit(client: Client, settings) -> None:
    settings.BODY_LIMIT = 1024 * 1024
    answer = client.post(reverse("account_login"), {"login": "x" * 1024 * 1024, "password": "y"})
    assert answer.status_code == 413
    assert "At most 1 MB" in answer.content.decode()
    assert "<h1>This is too large" in answer.content.decode()


def test_a_damaged_request_is_told_what_to_do(client: Client, settings) -> None:
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 3
    answer = client.post(reverse("account_login"), {f"field{number}": "1" for number in range(9)})
    assert answer.status_code == 400
    assert "cannot be understood" in answer.content.decode()
