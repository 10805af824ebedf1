"""A request that cannot be taken is answered with a page that says what to do."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.cast import make_cast

pytestmark = pytest.mark.django_db


def test_a_body_that_is_too_large_is_told_the_limit(client: Client, settings) -> None:
    settings.BODY_LIMIT = 1024 * 1024
    answer = client.post(reverse("account_login"), {"login": "x" * 1024 * 1024, "password": "y"})
    assert answer.status_code == 413
    assert "At most 1 MB" in answer.content.decode()
    assert "<h1>This is too large" in answer.content.decode()


def test_a_damaged_request_is_told_what_to_do(client: Client) -> None:
    answer = client.generic("POST", reverse("account_login"), b"--x\r\n", content_type="multipart/form-data")
    assert answer.status_code == 400
    assert "cannot be understood" in answer.content.decode()


def test_more_fields_than_any_form_has_are_refused(client: Client, settings) -> None:
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 3
    answer = client.post(reverse("account_login"), {f"field{number}": "1" for number in range(9)})
    assert answer.status_code == 413
    assert "more fields than any form" in answer.content.decode()


def test_more_files_than_any_form_has_are_refused(client: Client) -> None:
    files = {f"file{number}": SimpleUploadedFile("a.txt", b"a") for number in range(30)}
    assert client.post(reverse("account_login"), files).status_code == 413


@pytest.mark.parametrize("way", ["form", "multipart"])
def test_a_pasted_text_of_ten_megabytes_is_refused_before_it_is_read(client: Client, way: str) -> None:
    text = "x" * 10 * 1024 * 1024
    if way == "multipart":
        answer = client.post(reverse("account_login"), {"login": text})
    else:
        kind = "application/x-www-form-urlencoded"
        answer = client.generic("POST", reverse("account_login"), f"login={text}", content_type=kind)
    assert answer.status_code == 413
    assert "At most 2 MB of text can be sent with one form" in answer.content.decode()


@pytest.mark.parametrize("count", ["201", "1000000", "²", "-1", "x", ""])
def test_a_form_of_more_rows_than_there_are_is_refused(client: Client, count: str) -> None:
    cast = make_cast()
    client.force_login(cast.desk)
    answer = client.post(reverse("vessels:customer-add"), {"name": "Wes", "phones-TOTAL_FORMS": count})
    assert answer.status_code == 413
    assert "at most 200 rows" in answer.content.decode()


def test_a_row_count_within_the_limit_builds_no_more_rows_than_the_form_has(client: Client) -> None:
    cast = make_cast()
    client.force_login(cast.desk)
    sent = {"name": "Wes", "phones-TOTAL_FORMS": "200", "phones-INITIAL_FORMS": "0"}
    answer = client.post(reverse("vessels:customer-add"), sent)
    assert answer.status_code == 422
    assert answer.content.decode().count('name="phones-') < 200


def test_a_size_that_is_no_number_counts_as_none(client: Client) -> None:
    for path in (reverse("account_login"), reverse("reports:verify")):
        assert client.post(path, {}, CONTENT_LENGTH="²").status_code < 500


@pytest.mark.parametrize("path", ["/verify/%00/A/", "/reports/1%00/", "/can-logs/%00/"])
def test_nothing_is_found_under_a_name_with_a_nul(client: Client, path: str) -> None:
    client.force_login(make_cast().owner)
    assert client.get(path).status_code == 404


def test_a_nul_in_a_query_is_left_out(client: Client) -> None:
    cast = make_cast()
    client.force_login(cast.owner)
    assert str(cast.vessel) in client.get("/search/?q=Second%00+Wi%00nd").content.decode()
