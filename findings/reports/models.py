"""The draft that people word, and what was issued: append-only snapshots and their withdrawals."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from vessels.log.triggers import append_only
from vessels.models import Detail
from web.versions import Versioned
from workorders.models import Job


class DraftState(models.TextChoices):
    """Where a draft stands. A draft that is issued stays as the working paper of what was issued."""

    DRAFTING = "drafting", "Being written"
    REVIEWED = "reviewed", "Reviewed"
    SIGNING = "signing", "Being signed"
    ISSUED = "issued", "Issued"


AFLOAT = [("afloat", "Afloat"), ("ashore", "Ashore"), ("both", "Afloat and ashore")]
HIN_FOUND = [
    ("matches", "Read on the hull, same as on record"),
    ("differs", "Read on the hull, different from the record: see the remarks"),
    ("not-read", "Not read on this job"),
    ("unreadable", "There, but not legible"),
    ("none", "The hull carries none"),
]


class ReportDraft(Versioned):
    """The words that a technician puts to the findings of a job. One draft of a job is open at a time.

    Recommendations are one a line, in a text for each urgency; so is what was not inspected. ``record``, ``number``
    and ``code`` are set while it is being signed: exactly that record is drawn and signed, whatever happens meanwhile.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="report_drafts")
    state = models.CharField(max_length=10, choices=DraftState.choices, default=DraftState.DRAFTING)
    supersedes = models.ForeignKey("IssuedReport", on_delete=models.PROTECT, related_name="revisions", null=True)
    summary = models.TextField(
        blank=True, help_text="What the owner of the boat, a surveyor or an insurer should read first."
    )
    remarks = models.TextField("remarks on the findings", blank=True)
    before_next_use = models.TextField(blank=True, help_text="One recommendation per line.")
    soon = models.TextField(blank=True, help_text="One recommendation per line.")
    watch = models.TextField(blank=True, help_text="One recommendation per line.")
    not_inspected = models.TextField("what was not inspected", blank=True, help_text="One item per line.")
    place = models.CharField(
        "place of the inspection", max_length=160, blank=True, help_text="Where the boat was, such as: Slip B-12."
    )
    afloat = models.CharField("afloat or ashore", max_length=8, choices=AFLOAT, blank=True)
    attended = models.CharField(
        "who attended",
        max_length=300,
        blank=True,
        help_text="People of the shop, owner, surveyor.",
    )
    inspected_on = models.DateField(
        "date of the inspection",
        null=True,
        blank=True,
        help_text="Only where scans, readings and work do not tell it.",
    )
    hin_found = models.CharField("HIN on the hull", max_length=12, choices=HIN_FOUND, blank=True)
    why_revised = models.TextField(
        "why it is revised",
        blank=True,
        help_text="Printed in the new report. Required for the review.",
    )
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField(default=timezone.now, editable=False)
    reviewed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True)
    reviewed_at = models.DateTimeField(null=True)
    reviewed_digest = models.CharField(max_length=64, blank=True, editable=False)
    signer = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True)
    signing_since = models.DateTimeField(null=True)
    sequence = models.PositiveSmallIntegerField(null=True)
    record = models.TextField(blank=True)
    entry_id = models.UUIDField(default=uuid.uuid4, editable=False)
    problem = models.TextField(blank=True)

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=~models.Q(state=DraftState.ISSUED), name="one_open_draft_per_job"
            ),
            models.UniqueConstraint(fields=["job", "sequence"], name="one_draft_per_report_number"),
            models.CheckConstraint(
                condition=~models.Q(state=DraftState.SIGNING)
                | (~models.Q(record="") & models.Q(sequence__isnull=False, signer__isnull=False)),
                name="signing_has_a_record",
            ),
        ]

    def __str__(self) -> str:
        return f"Draft for {self.job}"

    @property
    def is_open(self) -> bool:
        """Whether it may still become a report."""
        return self.state != DraftState.ISSUED

    @property
    def may_be_worded(self) -> bool:
        """Whether its words may still change."""
        return self.state in {DraftState.DRAFTING, DraftState.REVIEWED}


class IssuedReport(Detail):
    """A signed report. Never changed: it can be superseded by another one, or withdrawn, and stays what it was.

    ``record`` is the very JSON that is embedded in the PDF; the PDF lies in the media storage under its digest.
    """

    draft = models.OneToOneField(ReportDraft, on_delete=models.PROTECT, related_name="issued")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="reports")
    sequence = models.PositiveSmallIntegerField()
    number = models.CharField(max_length=16, unique=True)
    code = models.CharField(max_length=12)
    record = models.TextField()
    record_sha256 = models.CharField(max_length=64)
    pdf_sha256 = models.CharField(max_length=64, unique=True)
    pdf_size = models.PositiveIntegerField()
    pages = models.PositiveSmallIntegerField()
    signature_sha256 = models.CharField(max_length=64, db_index=True)
    certificate_sha256 = models.CharField(max_length=64)
    level = models.CharField(max_length=8, null=True)  # noqa: DJ001  empty columns stay out of the digest
    signer = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    signed_at = models.DateTimeField()
    supersedes = models.OneToOneField("self", on_delete=models.PROTECT, related_name="superseded_by", null=True)

    class Meta:
        triggers = append_only()
        constraints = [models.UniqueConstraint(fields=["job", "sequence"], name="one_report_per_number")]

    def __str__(self) -> str:
        return f"Report {self.number}"


class ReportWithdrawal(Detail):
    """A report was withdrawn, and why. The reason shows to everybody who checks the report."""

    report = models.OneToOneField(IssuedReport, on_delete=models.PROTECT, related_name="withdrawal")
    reason = models.TextField()

    class Meta:
        triggers = append_only()
