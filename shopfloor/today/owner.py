"""What comes back, what is to be signed, and what the shop has not told the program yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from engineering.hours import hours_words
from findings.faults.models import Episode
from findings.faults.queries import returns_among
from findings.reports.models import DraftState, ReportDraft
from staff.models import Person, ShopProfile
from staff.policy import Permission, Role, may

FEW = 8
COMEBACKS_SINCE = timedelta(days=30)
_NAMES = ("name", "maker", "model")
"""What a vessel is called by."""
_SHOWN = (
    "opened_at", "gap_hours", "gap_days", "fault__system", "fault__code", "fault__state", "fault__status_now",
    "fault__engine__position", "opening__job__number", *(f"fault__vessel__{name}" for name in _NAMES),
)  # fmt: skip
"""What Today shows of a return, and no more."""


@dataclass(frozen=True)
class Hint:
    """Something that is still missing in the set-up of the shop."""

    words: str
    label: str
    url: str


def returns(since: datetime) -> QuerySet[Episode]:
    """Faults that came back, newest first, whoever cleared them before."""
    return (
        returns_among(Episode.objects.filter(opened_at__gte=since))
        .select_related("fault__vessel", "fault__engine", "opening__job")
        .only(*_SHOWN)
        .order_by("-opened_at")[:FEW]
    )


def comebacks(shop: ShopProfile) -> tuple[list[Episode], str]:
    """Faults that came back within the hold time after our repair; and what is said where none is known to have.

    Of a fault that came back between two scans it may not be known whether that was within the hold.
    """
    found = list(
        Episode.objects.filter(
            Q(is_comeback=True) | Q(may_be_comeback=True), opened_at__gte=timezone.now() - COMEBACKS_SINCE
        )
        .select_related("fault__vessel", "fault__engine", "opening__job")
        .only(*_SHOWN, "is_comeback")
        .order_by("-is_comeback", "-opened_at")[:FEW]
    )
    sure = [one for one in found if one.is_comeback]
    return sure, no_comebacks(shop, in_doubt=len(found) - len(sure))


def no_comebacks(shop: ShopProfile, *, in_doubt: int) -> str:
    """That there are none, with what a comeback is; a fault may have come back later than that.

    ``in_doubt`` are returns of which it is not known whether they were within the hold.
    """
    none = f"no fault {'is known to have come' if in_doubt else 'came'} back"
    said = (
        f"In the last {COMEBACKS_SINCE.days} days {none} within {hours_words(shop.hold_hours)} of our repair (within "
        f"{shop.hold_days} days where hours are unknown)."
    )
    if in_doubt:
        some = {1: "one return", FEW: f"{FEW} returns or more"}.get(in_doubt, f"{in_doubt} returns")
        said += f" Of {some} after a repair it is not known: no scan in between shows when it came back."
    return said


def reports_to_sign() -> QuerySet[ReportDraft]:
    """Reports that were reviewed and are not signed, the oldest first; whether one can be, its own page says."""
    return (
        ReportDraft.objects.filter(state=DraftState.REVIEWED)
        .select_related("job__vessel", "reviewed_by")
        .only("reviewed_at", "reviewed_by__name", "job__number", *(f"job__vessel__{name}" for name in _NAMES))
        .order_by("reviewed_at")[:FEW]
    )


def hints(person: Person, shop: ShopProfile) -> list[Hint]:
    """What the owner has not told the program yet."""
    found = []
    if may(person, Permission.MANAGE_SHOP):
        missing = [
            words
            for words, is_there in [
                ("the shop’s name", shop.name not in {"", "Our shop"}),
                ("its address", bool(shop.address.strip())),
                ("a phone number", bool(shop.phone.strip())),
            ]
            if not is_there
        ]
        if missing:
            words = f"The shop profile lacks {_and(missing)}. Reports and totals use them."
            found.append(Hint(words, "Fill in the profile", reverse("staff:shop")))
    if may(person, Permission.MANAGE_STAFF):
        roles = set(Person.objects.filter(is_active=True).values_list("role", flat=True))
        if Role.TECHNICIAN.value not in roles:
            words = "No technician can log in yet. Technicians log the findings."
            found.append(Hint(words, "Add a person", reverse("staff:add")))
    return found


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
