"""Vessels, their engines, control units and hour meters."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex, OpClass
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower, Right
from django.utils import timezone

from vessels.models.customers import Customer
from vessels.models.searching import inner_parts, keep_keys, squeezed, words_of
from vessels.spelling import near_keys
from web.versions import Versioned

_POSITIVE = [MinValueValidator(Decimal("0"))]


class Vessel(Versioned):
    """One hull. Its log, not this row, is its history."""

    KINDS = [
        ("pwc", "Personal watercraft"),
        ("outboard", "Outboard boat"),
        ("inboard", "Inboard boat"),
        ("sterndrive", "Sterndrive boat"),
        ("sail", "Sailboat with auxiliary"),
        ("work", "Work boat"),
        ("other", "Other"),
    ]

    name = models.CharField(max_length=80, blank=True)
    hin = models.CharField("HIN", max_length=20, blank=True, help_text="Hull identification number, as on the transom.")
    hin_remark = models.CharField("why the HIN is missing or unusual", max_length=160, blank=True)
    registration = models.CharField("registration number", max_length=20, blank=True)
    kind = models.CharField(max_length=12, choices=KINDS, default="outboard")
    maker = models.CharField(max_length=60, blank=True)
    model = models.CharField(max_length=60, blank=True)
    model_year = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1900), MaxValueValidator(2100)]
    )
    length = models.DecimalField(
        "length as entered", max_digits=6, decimal_places=2, null=True, blank=True, validators=_POSITIVE
    )
    length_unit = models.CharField(max_length=2, choices=[("ft", "ft"), ("m", "m")], default="ft")
    length_m = models.DecimalField("length, m", max_digits=7, decimal_places=3, null=True, blank=True, editable=False)
    color = models.CharField(max_length=40, blank=True)
    berth = models.CharField("usual berth", max_length=40, blank=True, help_text="Slip, rack, trailer or yard spot.")
    notes = models.TextField(blank=True)
    owner = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="vessels")
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    log_position = models.PositiveIntegerField(default=0, editable=False)
    log_digest = models.CharField(max_length=64, default="0" * 64, editable=False)
    anchored_position = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["name", "pk"]
        indexes = [
            models.Index(Lower("name"), "id", name="vessel_name"),
            models.Index(OpClass("hin", name="varchar_pattern_ops"), name="vessel_hin_start"),
            models.Index(OpClass(Right("hin", 12), name="text_pattern_ops"), name="vessel_hin_body"),
            models.Index(OpClass(squeezed("berth"), name="text_pattern_ops"), name="vessel_berth"),
            models.Index(OpClass(squeezed("registration"), name="text_pattern_ops"), name="vessel_registration"),
            GinIndex(words_of("name", "maker", "model"), name="vessel_words"),
            GinIndex(inner_parts("hin", 11, 4), name="vessel_hin_inside", fastupdate=False),
        ]
        constraints = [
            models.UniqueConstraint(fields=["hin"], condition=~models.Q(hin=""), name="one_vessel_per_hin"),
        ]

    def __str__(self) -> str:
        return vessel_words(self.name, self.maker, self.model, self.pk)

    @property
    def model_words(self) -> str:
        """Model year, maker and model, as far as they are known: “2014 Selmer 31”."""
        return " ".join(str(word) for word in [self.model_year or "", self.maker, self.model] if word)

    @property
    def facts(self) -> list[str]:
        """What a row says beside the name, each as far as it is known: model, berth and the engines in the boat."""
        engines = [str(engine) for engine in self.engines.all() if engine.removed_on is None]
        return [words for words in (self.model_words, self.berth, *engines) if words]

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save, but leave the end of the log's chain to the log: an object read a while ago knows an older one."""
        if not self._state.adding and kwargs.get("update_fields") is None:
            kept = {"log_position", "log_digest", "anchored_position"}
            fields = [f for f in self._meta.concrete_fields if not f.primary_key and f.name not in kept]
            kwargs["update_fields"] = [field.name for field in fields]
        super().save(*args, **kwargs)
        changed = kwargs.get("update_fields")
        if changed is None or {"name", "maker", "model"} & set(changed):
            keep_keys(VesselSpelling(vessel=self, keys=near_keys(self.name, self.maker, self.model)))


def vessel_words(name: str, maker: str, model: str, key: int | None) -> str:
    """How a boat is called: by its name, or by what it is where it has none."""
    return name or " ".join(word for word in [maker, model] if word) or f"Vessel {key}"


class VesselSpelling(models.Model):
    """What a boat's name, maker and model may be misspelled as, and what they sound like."""

    vessel = models.OneToOneField(Vessel, on_delete=models.CASCADE, primary_key=True, related_name="spelling")
    keys = ArrayField(models.TextField())

    class Meta:
        indexes = [GinIndex(fields=["keys"], name="vessel_spelling", fastupdate=False)]

    def __str__(self) -> str:
        return f"Spellings of {self.vessel}"


class Ownership(models.Model):
    """Who owned a vessel from when to when."""

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="ownerships")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="ownerships")
    since = models.DateTimeField(default=timezone.now)
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-since"]
        constraints = [
            models.UniqueConstraint(fields=["vessel"], condition=models.Q(until=None), name="one_owner_now"),
            models.CheckConstraint(
                condition=models.Q(until=None) | models.Q(until__gte=models.F("since")),
                name="ownership_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.customer} owns {self.vessel}"


class EngineFamily(models.Model):
    """Engines that share spec cards: one maker's family."""

    maker = models.CharField(max_length=60)
    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["maker", "name"]
        verbose_name_plural = "engine families"
        constraints = [models.UniqueConstraint(Lower("maker"), Lower("name"), name="one_family_per_name")]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class Engine(Versioned):
    """One engine in one hull."""

    POSITIONS = [
        ("port", "Port"),
        ("starboard", "Starboard"),
        ("center", "Center"),
        ("single", "Single"),
        ("generator", "Generator"),
    ]
    FUELS = [("gasoline", "Gasoline"), ("diesel", "Diesel"), ("other", "Other")]

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="engines")
    position = models.CharField(max_length=10, choices=POSITIONS, default="single")
    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="engines", null=True, blank=True)
    maker = models.CharField(max_length=60, blank=True)
    model = models.CharField(max_length=60, blank=True)
    serial = models.CharField("serial number", max_length=40, blank=True)
    year = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1900), MaxValueValidator(2100)]
    )
    fuel = models.CharField(max_length=10, choices=FUELS, default="gasoline")
    power = models.DecimalField(
        "rated power as entered", max_digits=8, decimal_places=2, null=True, blank=True, validators=_POSITIVE
    )
    power_unit = models.CharField(max_length=2, choices=[("hp", "hp"), ("kW", "kW"), ("PS", "PS")], default="hp")
    rated_power_kw = models.DecimalField(
        "rated power, kW", max_digits=9, decimal_places=3, null=True, blank=True, editable=False
    )
    rated_rpm_low = models.PositiveIntegerField("rated rpm, from", null=True, blank=True)
    rated_rpm_high = models.PositiveIntegerField("rated rpm, to", null=True, blank=True)
    gear_ratio = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True, validators=_POSITIVE)
    propeller = models.CharField(max_length=60, blank=True, help_text="Diameter × pitch, blades, hand.")
    removed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["vessel", "position", "pk"]
        indexes = [
            models.Index(OpClass(squeezed("serial"), name="text_pattern_ops"), name="engine_serial"),
            GinIndex(words_of("maker", "model"), name="engine_words"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(rated_rpm_low=None)
                | models.Q(rated_rpm_high=None)
                | models.Q(rated_rpm_high__gte=models.F("rated_rpm_low")),
                name="rated_rpm_in_order",
            ),
            models.UniqueConstraint(
                fields=["vessel", "position"],
                condition=models.Q(removed_on=None) & ~models.Q(position="generator"),
                name="one_engine_per_position",
            ),
        ]

    def __str__(self) -> str:
        return engine_words(self.position, self.maker, self.model)


POSITION_WORDS = dict(Engine.POSITIONS)


def engine_words(position: str, maker: str, model: str) -> str:
    """How an engine is called: by its place in the boat, and by what it is where that is known."""
    where = POSITION_WORDS.get(position, position)
    what = " ".join(word for word in [maker, model] if word)
    return f"{where} · {what}" if what else where


class ControlUnit(Versioned):
    """An electronic module on an engine, or on the vessel when ``engine`` is empty."""

    CODES = [
        ("spn", "SPN/FMI (SAE J1939)"),
        ("j1587", "MID/PID/FMI (SAE J1587)"),
        ("obd", "P/C/B/U codes (SAE J2012)"),
        ("flash", "Flash codes"),
        ("maker", "The maker's own codes"),
    ]

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="units")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="units", null=True, blank=True)
    name = models.CharField(max_length=60, default="Engine control unit")
    address = models.PositiveSmallIntegerField(
        "J1939 source address", null=True, blank=True, validators=[MaxValueValidator(253)]
    )
    code_system = models.CharField("usual codes", max_length=6, choices=CODES, default="spn")
    removed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["vessel", "engine", "pk"]

    def __str__(self) -> str:
        words = unit_words(self.name, self.engine.position if self.engine else None)
        return words if self.removed_on is None else f"{words}, removed"


def unit_words(name: str, engine_position: str | None) -> str:
    """How a control unit is called: with the place of its engine, where it is on one."""
    return f"{name} ({POSITION_WORDS.get(engine_position, engine_position).lower()})" if engine_position else name


class HourMeter(models.Model):
    """One hour meter of an engine. A replaced meter goes on from the engine's true hours.

    ``engine_hours_when_fitted`` is None where the meter before it was not read: from then on the meter tells its own
    hours, and not the engine's, unless somebody says what those are (``vessels.hours.true_hours``).
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="meters")
    label = models.CharField(max_length=40, default="Hour meter")
    fitted_at = models.DateTimeField(default=timezone.now)
    shown_when_fitted = models.DecimalField(max_digits=9, decimal_places=1, default=Decimal("0"), validators=_POSITIVE)
    engine_hours_when_fitted = models.DecimalField(
        max_digits=9, decimal_places=1, default=Decimal("0"), validators=_POSITIVE, null=True
    )

    class Meta:
        ordering = ["engine", "fitted_at"]
        get_latest_by = "fitted_at"

    def __str__(self) -> str:
        return f"{self.label} of {self.engine}"
