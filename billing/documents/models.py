"""The numbers of documents about money."""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models


class NumberSeries(models.Model):
    """The numbers of one kind of document: what stands before them, and the last that was given.

    A row is locked while a document is made, so that its numbers have no gap: a document that is not made after all
    gives its number back.
    """

    name = models.CharField(max_length=20, primary_key=True)
    prefix = models.CharField(
        max_length=8, blank=True, validators=[RegexValidator(r"^[A-Za-z0-9./-]*$", "Letters, digits, and . / - only.")]
    )
    last = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.prefix}{self.last}"
