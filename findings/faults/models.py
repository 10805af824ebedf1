"""Faults and the evidence they are derived from: scans, clears, and the work done about them.

Rows of evidence carry the code as text beside the fault they belong to: the fault's row is a cache and may change,
the evidence is covered by the log's digest and stands by itself.
"""

from __future__ import annotations

from django.contrib.postgres.indexes import OpClass
from django.db import models

from engineering.codes import Code, CodeStatus, CodeSystem, explain
from engineering.faults import FaultState
from findings.instruments.models import MadeWith
from vessels.log.triggers import append_only
from vessels.models import ControlUnit, Detail, Engine, LogEntry, Vessel
from workorders.models import JobLine

STATUSES = [(status.value, status.value.capitalize()) for status in CodeStatus]
SYSTEMS = [
    (CodeSystem.SPN.value, "SPN/FMI"),
    (CodeSystem.J1587.value, "MID/PID/FMI"),
    (CodeSystem.OBD.value, "P/C/B/U"),
    (CodeSystem.FLASH.value, "Flash code"),
    (CodeSystem.MAKER.value, "Maker's own"),
    (CodeSystem.STATUS.value, "Status on the network"),
]

CAN_LOGS = ("can-log", "can-dm", "can-bits")
"""Sources of scans that were read from a log of the network."""
OF_CAN_LOGS = CodeSystem.SPN
"""The kind of trouble codes that such a log tells of."""


class CodeText(models.Model):
    """One code by itself: its system and its canonical text."""

    system = models.CharField(max_length=6, choices=SYSTEMS)
    code = models.CharField(max_length=40)

    class Meta:
        abstract = True

    @property
    def as_code(self) -> Code:
        """The code, for the ground floor."""
        return Code(CodeSystem(self.system), self.code)

    @property
    def label(self) -> str:
        """The code as people write it."""
        if self.system == CodeSystem.FLASH:
            return f"Flash {self.code}"
        return str(self.as_code)

    @property
    def meaning(self) -> str:
        """What the code means by itself, on one line."""
        return explain(self.as_code).title


class Fault(CodeText):
    """One code of one unit on one engine across its whole life.

    Everything from ``state`` on is a cache of the replay (see ``findings.faults.replaying``), written in the same
    transaction as the evidence. ``history`` holds the whole replay as JSON, for pictures and tables.
    """

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="faults")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="faults", null=True)
    unit = models.ForeignKey(ControlUnit, on_delete=models.PROTECT, related_name="faults")
    state = models.CharField(max_length=13, default=FaultState.NONE.value)
    status_now = models.CharField(max_length=10, blank=True)
    is_open = models.BooleanField(default=False)
    episodes = models.PositiveIntegerField(default=0)
    returns = models.PositiveIntegerField(default=0)
    first_seen_at = models.DateTimeField(null=True)
    last_seen_at = models.DateTimeField(null=True)
    last_seen_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    cleared_at = models.DateTimeField(null=True)
    cleared_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    history = models.JSONField(default=dict)

    class Meta:
        ordering = ["-is_open", "-last_seen_at", "pk"]
        indexes = [
            models.Index(fields=["vessel", "-is_open", "-last_seen_at"], name="faults_of_vessel"),
            models.Index(fields=["engine", "system", "code"], name="faults_of_engine"),
            models.Index(fields=["system", "code", "-is_open", "-last_seen_at"], name="faults_by_code_open"),
            models.Index(fields=["system", "code", "-last_seen_at"], name="faults_by_code_seen"),
            models.Index(fields=["-returns", "-last_seen_at"], name="faults_that_return"),
            models.Index(
                OpClass("code", name="varchar_pattern_ops"),
                condition=models.Q(system=CodeSystem.MAKER.value),
                name="faults_by_makers_code",
            ),
        ]
        constraints = [models.UniqueConstraint(fields=["unit", "system", "code"], name="one_fault_per_code")]

    def __str__(self) -> str:
        return self.label

    @property
    def is_open_aboard(self) -> bool:
        """Whether it is open on the boat as it is: not where its unit was removed. Needs ``unit``."""
        return self.is_open and self.unit.removed_on is None


class Episode(models.Model):
    """One appearance of a fault, and what came of what ended it.

    A cache of the replay, as the fault's own row is, kept as rows so that the shop's figures are counted by the
    database. ``work`` is the last work about this appearance. The clock of everything that is counted after its end
    starts at ``since``; ``outcome_hours`` counts to the scan that saw what came of it, and a return lies between
    ``outcome_least_hours`` and those. ``turn`` numbers the times that the fault was away, and is empty where it was not
    fixed yet.
    """

    OUTCOMES = [
        ("open", "open"),
        ("returned", "came back"),
        ("held", "held"),
        ("holding", "holding so far"),
        ("unproven", "not proven yet"),
        ("gone", "gone, with no clear on record in between"),
        ("unfixed", "not fixed yet"),
    ]

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="appearances")
    number = models.PositiveIntegerField()
    opened_at = models.DateTimeField()
    opened_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    opening = models.ForeignKey(LogEntry, on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True)
    closed_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    closing = models.ForeignKey(LogEntry, on_delete=models.PROTECT, related_name="+", null=True)
    gap_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    gap_days = models.IntegerField(null=True)
    since_at = models.DateTimeField(null=True)
    since_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    turn = models.PositiveIntegerField(null=True)
    work = models.ForeignKey("faults.WorkDone", on_delete=models.PROTECT, related_name="+", null=True)
    is_repair = models.BooleanField("ended by our work", default=False)
    is_comeback = models.BooleanField("back within the hold time after our repair", default=False)
    may_be_comeback = models.BooleanField("back, perhaps within the hold time after our repair", default=False)
    outcome = models.CharField(max_length=8, choices=OUTCOMES)
    outcome_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    outcome_least_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    outcome_most_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    outcome_days = models.IntegerField(null=True)

    class Meta:
        ordering = ["fault", "number"]
        indexes = [
            models.Index(fields=["-opened_at"], condition=models.Q(is_comeback=True), name="comebacks_newest_first"),
            models.Index(fields=["-opened_at"], condition=models.Q(number__gt=1), name="returns_newest_first"),
            models.Index(fields=["-closed_at"], condition=models.Q(is_repair=True), name="repairs_newest_first"),
        ]
        constraints = [models.UniqueConstraint(fields=["fault", "number"], name="one_episode_per_number")]

    def __str__(self) -> str:
        return f"{self.fault} episode {self.number}"


class Scan(MadeWith, Detail):
    """One read-out of one control unit at one time."""

    PHASES = [
        ("arrival", "On arrival"),
        ("after-repair", "After repair"),
        ("sea-trial", "Sea trial"),
        ("delivery", "On delivery"),
    ]
    SOURCES = [
        ("touch", "Typed"),
        ("paste", "Pasted text"),
        ("can-log", "CAN log"),
        ("can-dm", "CAN log, trouble codes"),
        ("can-bits", "CAN log, status bits"),
    ]

    unit = models.ForeignKey(ControlUnit, on_delete=models.PROTECT, related_name="scans")
    phase = models.CharField(max_length=12, choices=PHASES)
    is_complete = models.BooleanField()
    source = models.CharField(max_length=8, choices=SOURCES, default="touch")
    raw = models.TextField(blank=True)
    not_understood = models.PositiveIntegerField(default=0)
    file_sha256 = models.CharField(max_length=64, null=True)  # noqa: DJ001  empty columns stay out of the digest

    class Meta:
        triggers = append_only()
        indexes = [
            models.Index(
                fields=["file_sha256"], condition=models.Q(file_sha256__isnull=False), name="scans_from_a_file"
            ),
            models.Index(
                fields=["registered"], condition=models.Q(registered__isnull=False), name="scans_by_instrument"
            ),
        ]

    @property
    def tells_codes(self) -> bool:
        """Whether it tells of the codes that an instrument lists; a log of status bits alone does not."""
        return self.source != "can-bits"

    @property
    def tells_status(self) -> bool:
        """Whether it tells of status bits; only what was read from a CAN log does."""
        return self.source in {"can-log", "can-bits"}

    @property
    def kinds(self) -> set[CodeSystem]:
        """The kind of code that it tells of, whether it lists one or not; empty where an instrument shows any."""
        return {OF_CAN_LOGS} if self.source in CAN_LOGS else set()


class Sighting(CodeText):
    """One code seen in one scan, with the status the unit gave it."""

    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, related_name="sightings")
    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="sightings")
    status = models.CharField(max_length=10, choices=STATUSES)
    count = models.PositiveIntegerField(null=True)

    class Meta:
        triggers = append_only()
        constraints = [models.UniqueConstraint(fields=["scan", "fault", "status"], name="one_sighting_per_status")]

    def __str__(self) -> str:
        return f"{self.label} {self.status}"


class Clear(Detail):
    """Codes of a unit were cleared: all of them, or those listed."""

    unit = models.ForeignKey(ControlUnit, on_delete=models.PROTECT, related_name="clears")
    everything = models.BooleanField()

    class Meta:
        triggers = append_only()


class ClearedFault(CodeText):
    """One fault that a clear named."""

    clear = models.ForeignKey(Clear, on_delete=models.PROTECT, related_name="cleared")
    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="clears")

    class Meta:
        triggers = append_only()
        constraints = [models.UniqueConstraint(fields=["clear", "fault"], name="one_clear_per_fault")]

    def __str__(self) -> str:
        return self.label


class WorkDone(Detail):
    """What was done about one or more faults; the entry's text says it."""

    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="work", null=True)

    class Meta:
        triggers = append_only()


class WorkOnFault(CodeText):
    """One fault that the work was about."""

    work = models.ForeignKey(WorkDone, on_delete=models.PROTECT, related_name="about")
    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="work")

    class Meta:
        triggers = append_only()
        constraints = [models.UniqueConstraint(fields=["work", "fault"], name="one_work_per_fault")]

    def __str__(self) -> str:
        return self.label
