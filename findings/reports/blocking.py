"""What stands in the way of signing a report, so that no page calls one ready that would be refused."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from files.paper import signing
from files.paper.drawing import Stationery
from findings.reports.build import review_digest
from findings.reports.letters import unprintable
from findings.reports.models import DraftState, ReportDraft
from findings.reports.record import Findings
from staff.models import ShopProfile
from staff.queries import shop_profile


@dataclass(frozen=True)
class Missing:
    """Words without which no draft is reviewed, and so none is signed."""

    field: str
    sentence: str
    wanted: str
    """What to write, beside its field."""


def missing_words(draft: ReportDraft) -> Iterator[Missing]:
    """What has to be written before a draft can be reviewed: the one rule of the review and of what a page says."""
    if not draft.summary.strip():
        yield Missing("summary", "The summary is missing.", "Say in a few sentences what was found.")
    if not draft.not_inspected.strip():
        yield Missing(
            "not_inspected",
            "What was not inspected is missing.",
            "Every report says what it does not cover. One item per line.",
        )
    if draft.supersedes_id and not draft.why_revised.strip():
        yield Missing(
            "why_revised",
            "The reason of the revision is missing.",
            "Say why this report takes the place of the one before.",
        )


def blocks_of_shop(shop: ShopProfile) -> list[str]:
    """A sentence for each thing that keeps the shop from signing any report."""
    _, of_paper = Stationery.for_looking(shop)
    return [said for said in (signing.why_no_certificate(), of_paper) if said]


def changed_since_review(draft: ReportDraft, findings: Findings) -> str:
    """Why what was said to be correct has to be read again; empty where it is what was read, or nobody read it yet."""
    if draft.state != DraftState.REVIEWED or not draft.reviewed_digest or draft.reviewed_by is None:
        return ""
    if review_digest(findings) == draft.reviewed_digest:
        return ""
    return (
        f"Something was logged or changed since {draft.reviewed_by.name} reviewed it. Read it, and mark it as reviewed "
        "again."
    )


def blocks(findings: Findings, changed: str) -> list[str]:
    """A sentence for each thing that keeps a report with these findings from being signed, whoever signs.

    ``changed`` is what ``changed_since_review`` says of them.
    """
    said = (unprintable(findings), changed)
    return [*blocks_of_shop(shop_profile()), *filter(None, said)]
