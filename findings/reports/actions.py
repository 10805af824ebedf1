"""What people do about condition reports: draft, word, review, sign, revise, withdraw."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Max
from django.utils import timezone

from commands.background import ask
from commands.envelope import command
from commands.refusals import Refused
from files.paper import signing
from files.paper.codes import new_code
from files.paper.drawing import Stationery
from findings.reports import numbers, schema
from findings.reports.blocking import changed_since_review, missing_words
from findings.reports.build import build_findings, findings_digest, issued_record, person_facts, review_digest
from findings.reports.cautions import NOT_INSPECTED
from findings.reports.letters import unprintable
from findings.reports.models import DraftState, IssuedReport, ReportDraft, ReportWithdrawal
from findings.reports.queries import issued_reports, standing_report, verify_address
from findings.reports.record import IssueFacts, to_json
from findings.reports.tasks import ISSUE_REPORT
from staff.doors.events import tell
from staff.doors.own_word import ASKS_WHO, WRONG, is_own_word
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from vessels.log.anchor import current_head
from vessels.log.chain import NewEntry, append
from web.versions import apply_changes
from workorders.models import Job

WORDS = ("summary", "remarks", "before_next_use", "soon", "watch", "not_inspected")
PARTICULARS = ("place", "afloat", "attended", "inspected_on", "hin_found", "why_revised")
LONGEST = 20_000


@command("draft_report", needs=Permission.DRAFT_REPORTS, writes_to="job")
def draft_report(*, by: Person, job: Job, entry_id: UUID | None = None) -> ReportDraft:
    """Begin the report of a job, or answer with the draft that is open already."""
    if draft := _open_draft(job):
        return draft
    if issued := standing_report(job):
        raise Refused(f"Report {issued.number} of this job is issued. Revise it, or withdraw it first.")
    before = issued_reports(job).first()
    withdrawal = getattr(before, "withdrawal", None)
    return ReportDraft.objects.create(
        job=job,
        supersedes=before,
        started_by=by,
        changed_by=by,
        not_inspected="\n".join(NOT_INSPECTED),
        place=_place_of(job),
        why_revised=f"Report {withdrawal.report.number} was withdrawn: {withdrawal.reason}" if withdrawal else "",
    )


@command("word_report", needs=Permission.DRAFT_REPORTS, writes_to="draft.job")
def word_report(
    *, by: Person, draft: ReportDraft, seen_version: int, changes: Mapping[str, Any], entry_id: UUID | None = None
) -> ReportDraft:
    """Save the text of a draft. A reviewed draft whose words change has to be reviewed again.

    Raises:
        Conflict: somebody else changed the same words meanwhile.
    """
    stored = _lock(draft)
    _refuse_unless_open(stored)
    unknown = set(changes) - {*WORDS, *PARTICULARS}
    if unknown:
        raise ValueError(f"not a text of a report: {sorted(unknown)}")
    for name, text in changes.items():
        most = getattr(ReportDraft._meta.get_field(name), "max_length", None) or LONGEST
        if isinstance(text, str) and len(text) > most:
            raise Refused("This is too long.", fields={name: f"No more than {most:,} signs."})
    _refuse_same_as_nothing(stored, changes)
    changed = apply_changes(draft, seen_version=seen_version, changes=changes, by=by)
    if changed and draft.state == DraftState.REVIEWED:
        draft.state, draft.reviewed_by, draft.reviewed_at = DraftState.DRAFTING, None, None
        draft.reviewed_digest = ""
        draft.save(update_fields=["state", "reviewed_by", "reviewed_at", "reviewed_digest"])
    return draft


def _refuse_same_as_nothing(draft: ReportDraft, changes: Mapping[str, Any]) -> None:
    """A HIN on the hull is the same as the one on record only where there is one."""
    if changes.get("hin_found") == "matches" and not draft.job.vessel.hin:
        sentence = "No HIN of this boat is on record, so there is none to be the same. Put it on the boat’s page first."
        raise Refused("The HIN is not on record.", fields={"hin_found": sentence})


@command("review_report", needs=Permission.DRAFT_REPORTS, writes_to="draft.job")
def review_report(*, by: Person, draft: ReportDraft, seen_version: int, entry_id: UUID | None = None) -> ReportDraft:
    """Say that findings and words of a draft were read and are right."""
    stored = _lock(draft)
    _refuse_unless_open(stored)
    for missing in missing_words(stored):
        raise Refused(missing.sentence, fields={missing.field: missing.wanted})
    changes = {
        "state": DraftState.REVIEWED,
        "reviewed_by": by,
        "reviewed_at": timezone.now(),
        "reviewed_digest": review_digest(build_findings(stored)),
    }
    apply_changes(draft, seen_version=seen_version, changes=changes, by=by)
    return draft


@command("discard_draft", needs=Permission.DRAFT_REPORTS, writes_to="draft.job")
def discard_draft(*, by: Person, draft: ReportDraft, entry_id: UUID | None = None) -> None:
    """Throw a draft away. What was issued before stays as it is."""
    stored = _lock(draft)
    _refuse_unless_open(stored)
    stored.delete()


@command("sign_report", needs=Permission.SIGN_REPORTS, writes_to="draft.job.vessel", secret=("password",))
def sign_report(
    *, by: Person, draft: ReportDraft, seen: str, password: str, entry_id: UUID | None = None
) -> ReportDraft:
    """Sign what the signer has read: freeze the record, give it its number, and have it drawn after the commit.

    ``seen`` is the digest of the findings on the signer's page. A draft that is being signed, or is issued, already
    answers as it is: signing twice makes one report.
    """
    if not is_own_word(by, password):
        raise Refused(WRONG, fields={"password": WRONG})
    stored = _lock(draft)
    if not stored.may_be_worded:
        return stored
    if stored.state != DraftState.REVIEWED:
        raise Refused("This draft was changed and has not been reviewed since. Have it reviewed, then sign.")
    if sentence := second_person_missing(stored, by):
        raise Refused(sentence)
    signing.shop_certificate()
    Stationery.of_shop(shop_profile())
    findings = build_findings(stored)
    if lacking := unprintable(findings):
        raise Refused(lacking)
    if sentence := changed_since_review(stored, findings):
        raise Refused(sentence)
    if findings_digest(findings) != seen:
        raise Refused("Something was logged or changed since you opened this page. Read the report again, then sign.")
    stored.sequence = _next_sequence(stored.job)
    stored.signer, stored.signing_since, stored.problem = by, timezone.now(), ""
    head = current_head()
    number, code = numbers.report_number(stored.job.number, stored.sequence), new_code()
    issue = IssueFacts(
        number=number,
        code=code,
        supersedes=stored.supersedes.number if stored.supersedes else "",
        signed_at=stored.signing_since.astimezone(ZoneInfo(shop_profile().time_zone)),
        signer=person_facts(by),
        verify_url=verify_address(number, code),
        reviewed_by_signer=stored.reviewed_by_id == by.pk,
        log_number=head.number,
        log_head=head.head,
    )
    record = to_json(issued_record(findings, issue))
    schema.check(record)
    stored.record, stored.state = record.decode(), DraftState.SIGNING
    stored.save()
    ask(ISSUE_REPORT.name, str(stored.pk))
    tell("report signed", by=by, report=number)
    return stored


@command("retry_signing", needs=Permission.SIGN_REPORTS, writes_to="draft.job")
def retry_signing(*, by: Person, draft: ReportDraft, entry_id: UUID | None = None) -> ReportDraft:
    """Have a report drawn and signed again after it went wrong; what is signed stays what the signer read."""
    stored = _lock(draft)
    if stored.state == DraftState.SIGNING:
        stored.problem, stored.signing_since = "", timezone.now()
        stored.save(update_fields=["problem", "signing_since"])
        ask(ISSUE_REPORT.name, str(stored.pk))
    return stored


@command("cancel_signing", needs=Permission.SIGN_REPORTS, writes_to="draft.job")
def cancel_signing(*, by: Person, draft: ReportDraft, entry_id: UUID | None = None) -> ReportDraft:
    """Stop a signing that went wrong, so that the draft can be worded again."""
    stored = _lock(draft)
    if stored.state != DraftState.SIGNING:
        raise Refused("This report is not being signed.")
    stored.state, stored.record, stored.sequence, stored.problem = DraftState.DRAFTING, "", None, ""
    stored.signer = stored.signing_since = stored.reviewed_by = stored.reviewed_at = None
    stored.reviewed_digest = ""
    stored.version += 1
    stored.changed_by = by
    stored.save()
    return stored


@command("revise_report", needs=Permission.SIGN_REPORTS, writes_to="report.job", on_its_page=ASKS_WHO)
def revise_report(*, by: Person, report: IssuedReport, entry_id: UUID | None = None) -> ReportDraft:
    """Begin the report that will supersede an issued one, in its words. Until it is signed, the old one stands."""
    if draft := _open_draft(report.job):
        return draft
    if standing_report(report.job) != report:
        raise Refused(f"Report {report.number} was already superseded or withdrawn. Start a new one on the job's page.")
    old = report.draft
    words = {name: getattr(old, name) for name in [*WORDS, *PARTICULARS] if name != "why_revised"}
    return ReportDraft.objects.create(job=report.job, supersedes=report, started_by=by, changed_by=by, **words)


@command("withdraw_report", needs=Permission.SIGN_REPORTS, writes_to="report.job.vessel", on_its_page=ASKS_WHO)
def withdraw_report(*, by: Person, report: IssuedReport, reason: str, entry_id: UUID | None = None) -> ReportWithdrawal:
    """Withdraw an issued report. It stays as it is, and everybody who checks it is told why it no longer holds."""
    vessel = report.job.vessel
    if not reason.strip():
        raise Refused("The reason is missing.", fields={"reason": "Everyone who checks the report will read it."})
    if ReportWithdrawal.objects.filter(report=report).exists():
        raise Refused(f"Report {report.number} was already withdrawn.")
    withdrawal = ReportWithdrawal(report=report, reason=reason.strip())
    append(
        NewEntry(
            kind="report-withdrawn",
            vessel=vessel,
            author=by,
            summary=f"Condition report {report.number} was withdrawn.",
            id=entry_id,
            job_id=report.job_id,
            text=reason,
        ),
        detail=withdrawal,
    )
    tell("report withdrawn", by=by, report=report.number)
    return withdrawal


def second_person_missing(draft: ReportDraft, signer: Person) -> str:
    """Why this person cannot sign where the shop wants two people for every report, or nothing."""
    if draft.reviewed_by_id != signer.pk or not shop_profile().two_for_a_report:
        return ""
    return (
        "You reviewed this report yourself, and this shop requires two people for every report. Have somebody else "
        "review it, or have another manager or owner sign it."
    )


def _place_of(job: Job) -> str:
    """Where the boat was taken in, to begin with."""
    return job.spot if job.location == "away" else job.where


def _open_draft(job: Job) -> ReportDraft | None:
    return ReportDraft.objects.filter(job=job).exclude(state=DraftState.ISSUED).first()


def _lock(draft: ReportDraft) -> ReportDraft:
    try:
        return ReportDraft.objects.select_for_update(of=("self",)).select_related("job", "supersedes").get(pk=draft.pk)
    except ReportDraft.DoesNotExist as problem:
        raise Refused("This draft was discarded in the meantime.") from problem


def _refuse_unless_open(draft: ReportDraft) -> None:
    if not draft.may_be_worded:
        raise Refused(
            "This report is being signed or is issued, so its text can no longer be changed. Revise it instead."
        )


def _next_sequence(job: Job) -> int:
    """The next number of the job's reports. Needs the vessel's turn to write, so that no two signers get one number."""
    issued = IssuedReport.objects.filter(job=job).aggregate(last=Max("sequence"))["last"] or 0
    return max(issued, ReportDraft.objects.filter(job=job).aggregate(last=Max("sequence"))["last"] or 0) + 1
