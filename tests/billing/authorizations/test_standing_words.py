"""What is said of an authorization that is over nothing, or of which nothing stands."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from billing.authorizations.actions import note_authorization, withdraw_authorization
from billing.authorizations.guarding import limit_words, words_without_sums
from billing.authorizations.models import Authorization
from billing.authorizations.queries import standing_of
from tests.cast import Cast
from vessels.wording import date_words
from workorders.models import Job

pytestmark = pytest.mark.django_db


def note(cast: Cast, job: Job, amount: str, words: str) -> Authorization:
    standing = standing_of(job)
    return note_authorization(
        by=cast.desk, job=job, amount=Decimal(amount), how="phone", who="Wes Harrow", reached="555-0140",
        said_at=timezone.now(), words=words, seen_total=standing.total, seen_authorized=standing.limit.authorized,
    )  # fmt: skip


def test_nothing_yet_and_nothing_any_more(cast: Cast, job: Job) -> None:
    assert limit_words(standing_of(job)) == "Nothing is authorized yet."
    made = note(cast, job, "500", "Go ahead.")
    withdraw_authorization(by=cast.desk, authorization=made, reason="Another boat")
    for words in (limit_words, words_without_sums):
        assert words(standing_of(job)) == "What was authorized was withdrawn."


def test_a_sum_of_zero_is_told_with_what_was_said(cast: Cast, job: Job) -> None:
    note(cast, job, "0", "Time and materials,\nas we agreed at the dock")
    standing, today = standing_of(job), date_words(timezone.localdate())
    assert limit_words(standing) == (
        f"By phone on {today} Wes Harrow agreed, with a sum of $0.00: “Time and materials, as we agreed at the dock”. "
        "So a charge that brings the job above $0.00 is stopped."
    )
    assert words_without_sums(standing) == f"By phone on {today} Wes Harrow agreed."
    note(cast, job, "0", "x" * 130)
    assert limit_words(standing_of(job)).count(f"“{'x' * 120}…”. So") == 1
