"""Readings, the parameters they are of, and the spec cards they are judged by."""

from __future__ import annotations

from decimal import Decimal

import pgtrigger
from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from engineering.measures import UNITS
from findings.instruments.models import Instrument, MadeWith
from vessels.log.triggers import AppendOnly, append_only
from vessels.models import Detail, EngineFamily
from web.versions import Versioned


class Parameter(models.Model):
    """What a reading is of. ``kind`` names a kind of quantity of ``engineering.measures``; "switch" is on or off."""

    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField(default=100)

    class Meta:
        ordering = ["position", "name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="one_parameter_per_name")]

    def __str__(self) -> str:
        return self.name


_YEARS = [MinValueValidator(1900), MaxValueValidator(2100)]


class SpecCard(Versioned):
    """Limits of one engine family, as one document gives them, or of some of its models, years or serial numbers."""

    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="cards")
    engine_models = models.CharField("models", max_length=200, blank=True)
    year_from = models.PositiveSmallIntegerField(null=True, blank=True, validators=_YEARS)
    year_to = models.PositiveSmallIntegerField(null=True, blank=True, validators=_YEARS)
    serial_from = models.CharField("serial number from", max_length=40, blank=True)
    serial_to = models.CharField("serial number to", max_length=40, blank=True)
    title = models.CharField(max_length=80)
    document = models.CharField("taken from", max_length=200, help_text="Manual, edition and page, or who measured it.")
    notes = models.TextField(blank=True)
    is_active = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["family", "title"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(year_from=None)
                | models.Q(year_to=None)
                | models.Q(year_to__gte=models.F("year_from")),
                name="card_years_in_order",
            )
        ]

    def __str__(self) -> str:
        return f"{self.title} ({self.family})"


class CardWords(models.Model):
    """What a card was called and for which engines it was, from ``said_at`` on, until the next row of the card.

    ``said_by`` is None for the words that a card had before their changes were kept.
    """

    card = models.ForeignKey(SpecCard, on_delete=models.PROTECT, related_name="words")
    said_at = models.DateTimeField(default=timezone.now, editable=False)
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, editable=False
    )
    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="+")
    engine_models = models.CharField(max_length=200, blank=True)
    year_from = models.PositiveSmallIntegerField(null=True, blank=True)
    year_to = models.PositiveSmallIntegerField(null=True, blank=True)
    serial_from = models.CharField(max_length=40, blank=True)
    serial_to = models.CharField(max_length=40, blank=True)
    title = models.CharField(max_length=80)
    document = models.CharField(max_length=200)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["card", "pk"]
        triggers = append_only()

    def __str__(self) -> str:
        return self.title


class SpecLimit(models.Model):
    """The limits of one parameter under one condition. ``unit`` is a key of ``engineering.measures.UNITS``.

    A limit is never overwritten: a changed one ends and another begins in its place. ``begun_by`` is None for one that
    was there before changes were kept; ``begun_at`` is then since when it is kept. ``source`` is the document as the
    card named it then, where the row names none.
    """

    card = models.ForeignKey(SpecCard, on_delete=models.PROTECT, related_name="limits")
    parameter = models.ForeignKey(Parameter, on_delete=models.PROTECT, related_name="limits")
    condition = models.CharField(max_length=120, blank=True, help_text="Such as: warm, 2000 rpm, no load.")
    unit = models.CharField(max_length=12)
    low = models.DecimalField("at least", max_digits=14, decimal_places=4, null=True, blank=True)
    nominal = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    high = models.DecimalField("at most", max_digits=14, decimal_places=4, null=True, blank=True)
    near_percent = models.DecimalField(
        "near the limit within, % of the band",
        max_digits=5,
        decimal_places=2,
        default=Decimal("10"),
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("50"))],
    )
    source = models.CharField(max_length=200, blank=True, help_text="Empty: the document that the card is taken from.")
    page = models.CharField(max_length=20, blank=True)
    begun_at = models.DateTimeField(default=timezone.now, editable=False)
    begun_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, editable=False
    )
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, editable=False
    )
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, related_name="replaced_by", null=True, editable=False
    )

    class Meta:
        ordering = ["card", "parameter__position", "condition"]
        triggers = [
            AppendOnly(
                name="no_change",
                when=pgtrigger.Before,
                operation=pgtrigger.Update,
                condition=pgtrigger.AnyChange(exclude=["ended_at", "ended_by"]),
            ),
            AppendOnly(
                name="no_other_end",
                when=pgtrigger.Before,
                operation=pgtrigger.Update,
                condition=pgtrigger.Q(old__ended_at__isnull=False),
            ),
            AppendOnly(name="no_delete", when=pgtrigger.Before, operation=pgtrigger.Delete),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(low__isnull=False) | models.Q(high__isnull=False), name="limit_has_an_end"
            ),
            models.CheckConstraint(
                condition=models.Q(low=None) | models.Q(high=None) | models.Q(high__gte=models.F("low")),
                name="limits_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.parameter} {self.condition}".strip()


class Reading(MadeWith, Detail):
    """One value as entered, the limits it was measured against, and what they said of it.

    ``limits_remark`` says why there were none, or which other card differed, as the records stood when it was logged.

    ``value_si`` is the same value in the SI unit of its kind, for comparing. Limits are copies in the entered unit.
    ``worked_from`` says how a tool of the Bench came to it (``findings.readings.working``); None for what was read.
    ``judged_by`` is the limit of its day; None where nobody judged it, or a tool by what no one limit
    says, and before limits were kept.
    """

    parameter = models.ForeignKey(Parameter, on_delete=models.PROTECT, related_name="readings")
    value = models.DecimalField(max_digits=14, decimal_places=4)
    unit = models.CharField(max_length=12)
    value_si = models.DecimalField(max_digits=26, decimal_places=12)
    minimum = models.DecimalField(max_digits=14, decimal_places=4, null=True)
    maximum = models.DecimalField(max_digits=14, decimal_places=4, null=True)
    condition = models.CharField(max_length=120, blank=True)
    phase = models.CharField(max_length=12, blank=True)
    low = models.DecimalField(max_digits=14, decimal_places=4, null=True)
    nominal = models.DecimalField(max_digits=14, decimal_places=4, null=True)
    high = models.DecimalField(max_digits=14, decimal_places=4, null=True)
    verdict = models.CharField(max_length=10)
    near_percent = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    limits_from = models.CharField(max_length=300, blank=True)
    judged_by = models.ForeignKey(SpecLimit, on_delete=models.PROTECT, related_name="+", null=True)
    limits_remark = models.CharField(max_length=500, null=True)  # noqa: DJ001  empty columns stay out of the digest
    worked_from = models.JSONField(null=True)
    file_sha256 = models.CharField(max_length=64, null=True)  # noqa: DJ001  empty columns stay out of the digest

    class Meta:
        triggers = append_only()
        indexes = [
            models.Index(fields=["parameter"], name="readings_of_parameter"),
            models.Index(
                fields=["file_sha256"], condition=models.Q(file_sha256__isnull=False), name="readings_from_a_file"
            ),
            models.Index(
                fields=["registered"], condition=models.Q(registered__isnull=False), name="readings_by_instrument"
            ),
        ]


class ReadingSheet(models.Model):
    """Rows that the shop reads off engines of one family, under a name. It ends, and stays; its rows are its versions'.

    ``is_shared``: offered to everybody, on every engine of the family; else to whoever made it.
    """

    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="sheets")
    name = models.CharField(max_length=80)
    is_shared = models.BooleanField("offered to everybody", default=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["family", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                "family", Lower("name"), condition=models.Q(ended_at=None), name="one_sheet_per_family_and_name"
            ),
            models.CheckConstraint(condition=~models.Q(name=""), name="sheet_is_named"),
        ]

    def __str__(self) -> str:
        return self.name


class SheetVersion(models.Model):
    """A sheet as it was saved once: the conditions of its columns, in order, and its rows."""

    sheet = models.ForeignKey(ReadingSheet, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    conditions = models.JSONField(default=list, blank=True)
    saved_at = models.DateTimeField(default=timezone.now, editable=False)
    saved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["sheet", "-number"]
        constraints = [models.UniqueConstraint(fields=["sheet", "number"], name="one_sheet_version_per_number")]
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.sheet}, version {self.number}"


class SheetRow(models.Model):
    """One row of a version: what is read, and the unit that it is read in."""

    version = models.ForeignKey(SheetVersion, on_delete=models.PROTECT, related_name="rows")
    place = models.PositiveSmallIntegerField()
    parameter = models.ForeignKey(Parameter, on_delete=models.PROTECT, related_name="+")
    unit = models.CharField(max_length=12)

    class Meta:
        ordering = ["version", "place"]
        constraints = [
            models.UniqueConstraint(fields=["version", "place"], name="one_sheet_row_per_place"),
            models.UniqueConstraint(fields=["version", "parameter"], name="one_sheet_row_per_parameter"),
        ]
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.place}: {self.parameter}"

    @property
    def unit_label(self) -> str:
        """The unit as it is written; empty for a plain number and for on or off."""
        return UNITS[self.unit].label if self.unit in UNITS else self.unit


class LearnedName(models.Model):
    """What a name in the texts of one instrument means here; of no instrument that was named, where none is."""

    registered = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    instrument = models.CharField(max_length=80, blank=True)
    name = models.CharField(max_length=120)
    parameter = models.ForeignKey(Parameter, on_delete=models.PROTECT, related_name="+")
    learned_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["registered", "instrument", "name"], name="one_meaning_per_name", nulls_distinct=False
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.parameter}"
