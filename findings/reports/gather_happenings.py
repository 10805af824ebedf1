"""What else was found and done on a job, out of the log, as facts for the record; a fixed number of queries each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from findings.happenings.models import SettingSort
from findings.happenings.queries import function_tests_of, recommended_by_findings, visual_findings_of
from findings.happenings.setting_words import SORTS, consent_words, with_unit
from findings.happenings.standing import told_on
from findings.happenings.wording import bare, lasted_words, recommended_words
from findings.reports.record import FunctionTestFacts, Recommendation, SettingFacts, VisualFacts
from findings.reports.source import Source, authors_before, witnesses
from workorders.models import Job


def visual_facts(source: Source) -> Iterator[VisualFacts]:
    """The visual findings of the job that count, in order of happening."""
    found = visual_findings_of(source.job)
    first = authors_before(one.entry for one in found)
    for one in found:
        entry = one.entry
        yield VisualFacts(
            at=source.at(entry.happened_at),
            hours=entry.engine_hours,
            engine=source.engine_name(entry.engine_id),
            place=one.place,
            text=entry.text,
            severity=one.get_severity_display(),
            recommendation=one.recommendation,
            **witnesses(entry, first),
            corrections=source.told(one.later),  # type: ignore[attr-defined]  # annotated where it was read
        )


def driven_facts(source: Source) -> Iterator[FunctionTestFacts]:
    """The function tests of the job that count, in order of happening."""
    found = function_tests_of(source.job)
    first = authors_before(one.entry for one in found)
    for one in found:
        entry = one.entry
        yield FunctionTestFacts(
            at=source.at(entry.happened_at),
            hours=entry.engine_hours,
            engine=source.engine_name(entry.engine_id),
            operated=one.operated,
            lasted=lasted_words(one.lasted, one.lasted_unit),
            text=entry.text,
            verdict=one.get_verdict_display(),
            **witnesses(entry, first),
            corrections=source.told(one.later),  # type: ignore[attr-defined]  # annotated where it was read
        )


def setting_facts(source: Source) -> Iterator[SettingFacts]:
    """The settings that were changed or set back on the job, and protections changed before that nothing set back."""
    found, over = told_on(source.job, source.aboard.end)
    first = authors_before(one.entry for one in found)
    for one in found:
        entry, ending = one.entry, over.get(one.root_id)
        if entry.engine_id is not None and not source.engine_name(entry.engine_id):
            continue  # its engine was removed before this job
        back = ending.back if ending is not None else None
        yield SettingFacts(
            at=source.at(entry.happened_at),
            hours=entry.engine_hours,
            engine=source.engine_name(entry.engine_id),
            setting=one.setting,
            sort=SORTS[SettingSort(one.sort)].capitalize(),
            before=with_unit(one.before, one.unit),
            after=with_unit(one.after, one.unit),
            text=entry.text,
            authority=one.authority,
            consent=consent_words(one.consent_by, one.consent_on, one.consent_how),
            job=str(entry.job.number) if entry.job else "",
            **witnesses(entry, first),
            set_back_at=source.at(back.entry.happened_at) if back else None,
            set_back_to=with_unit(back.value, back.change.unit) if back else "",
            set_back_by=back.entry.author.name if back else "",
            corrections=source.told(one.later),  # type: ignore[attr-defined]  # annotated where it was read
        )


def with_those_of_findings(typed: Iterable[Recommendation], job: Job) -> Iterator[Recommendation]:
    """What was typed into the draft, then what the visual findings of the job recommend and nobody typed."""
    there = list(typed)
    yield from there
    said = {(one.urgency, bare(one.text)) for one in there}
    for finding in recommended_by_findings(job):
        words = recommended_words(finding)
        if not {(finding.severity, bare(one)) for one in (words, finding.recommendation)} & said:
            said.add((finding.severity, bare(words)))
            yield Recommendation(urgency=finding.severity, text=words)
