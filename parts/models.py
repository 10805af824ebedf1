"""The parts the shop knows by number."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.postgres.indexes import GinIndex, OpClass
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models.functions import Upper

from vessels.models.searching import squeezed, words_of
from web.versions import Versioned


class Part(Versioned):
    """One part in the catalog."""

    number = models.CharField("part number", max_length=40)
    maker = models.CharField(max_length=60, blank=True)
    description = models.CharField(max_length=160)
    unit_price = models.DecimalField(
        "price", max_digits=11, decimal_places=2, default=Decimal("0"), validators=[MinValueValidator(Decimal("0"))]
    )
    is_active = models.BooleanField("still sold", default=True)

    class Meta:
        ordering = ["number"]
        indexes = [
            models.Index(Upper("number"), "id", name="part_by_number"),
            models.Index(OpClass(squeezed("number"), name="text_pattern_ops"), name="part_number_start"),
            GinIndex(words_of("description", "maker"), name="part_words"),
        ]
        constraints = [models.UniqueConstraint(Upper("number"), Upper("maker"), name="one_part_per_number")]

    def __str__(self) -> str:
        return f"{self.number} {self.description}"
