"""Reads: what a job has of these entries, and what is recommended by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from findings.happenings.kinds import KINDS, SETTING, TEST, VISUAL
from findings.happenings.models import EndedChange, FunctionTest, SettingChange, Severity, VisualFinding
from findings.happenings.standing import endings
from vessels.log.afterwards import Afterwards, afterwards
from vessels.log.evidence import superseded
from vessels.log.originals import first_authors, witness_words
from vessels.log.registry import LogKind, kind_of
from vessels.models import LogEntry
from workorders.models import Job

CORRECTED_AT = {
    VISUAL: "findings:correct_visual_finding",
    TEST: "findings:correct_function_test",
    SETTING: "findings:correct_setting",
}
"""Of each kind the page on which such an entry is corrected."""


@dataclass(frozen=True)
class Happening:
    """One entry as the job's page shows it."""

    entry: LogEntry
    kind: LogKind
    witness: str
    later: Afterwards
    ending: EndedChange | None = None
    """What set it back, where it is a setting that was changed."""

    @property
    def counts(self) -> bool:
        """Whether it was neither corrected nor voided."""
        return self.later.replaced is None

    @property
    def correct_url(self) -> str:
        """Where it is corrected, or logged again; empty where it can be no more."""
        if not self.later.can_be_corrected or self.entry.kind not in CORRECTED_AT:
            return ""
        return reverse(CORRECTED_AT[self.entry.kind], args=[self.entry.pk])

    @property
    def can_be_set_back(self) -> bool:
        """Whether it is a setting that was changed and not set back since."""
        return self.entry.kind == SETTING and self.counts and self.ending is None


def happenings_of_job(job: Job) -> list[Happening]:
    """All that was logged of these kinds on a job, newest first, in a fixed number of queries."""
    entries = list(
        LogEntry.objects.filter(job=job, kind__in=KINDS)
        .annotate(later=afterwards("pk"))
        .select_related("author", "engine")
        .order_by("-happened_at", "-position")
    )
    first = first_authors(one.pk for one in entries if one.amends_id is not None)
    keys = [one.pk for one in entries if one.kind == SETTING]
    roots = {one.pk: one.root_id for one in SettingChange.objects.filter(pk__in=keys)} if keys else {}
    over = endings(roots.values()) if roots else {}
    return [
        Happening(
            one,
            kind_of(one.kind),
            witness_words(first[one.pk], one.author.name) if one.pk in first else one.author.name,
            one.later,  # annotated
            over.get(roots.get(one.pk, one.pk)),
        )
        for one in entries
    ]


def visual_findings_of(job: Job) -> Sequence[VisualFinding]:
    """The visual findings of a job that count, in order of happening."""
    found = VisualFinding.objects.filter(~superseded("entry_id"), entry__job=job)
    return list(
        found.annotate(later=afterwards("entry_id"))
        .select_related("entry__author", "entry__engine")
        .order_by("entry__happened_at", "entry__position")
    )


def function_tests_of(job: Job) -> Sequence[FunctionTest]:
    """The function tests of a job that count, in order of happening."""
    found = FunctionTest.objects.filter(~superseded("entry_id"), entry__job=job)
    return list(
        found.annotate(later=afterwards("entry_id"))
        .select_related("entry__author", "entry__engine")
        .order_by("entry__happened_at", "entry__position")
    )


URGENT_FIRST = [Severity.BEFORE_NEXT_USE, Severity.SOON, Severity.WATCH]


def recommended_by_findings(job: Job) -> list[VisualFinding]:
    """The visual findings of a job that recommend something, the most urgent first."""
    found = [one for one in visual_findings_of(job) if one.recommendation]
    return sorted(found, key=lambda one: URGENT_FIRST.index(Severity(one.severity)))
