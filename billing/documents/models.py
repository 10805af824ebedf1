"""What documents about money share: their numbers, and the notices that the shop prints on them."""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models

from web.versions import Versioned


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


class Notice(Versioned):
    """A notice that the shop prints on its papers: of a lien, a warranty, or what the law of its place asks for.

    None comes with the program. ``citation`` says where it is from; local law decides what has to stand there.
    """

    title = models.CharField(max_length=80)
    text = models.TextField()
    citation = models.CharField("where it is from", max_length=160, blank=True, help_text="A statute, or “our terms”.")
    on_estimates = models.BooleanField("on estimates", default=False)
    on_invoices = models.BooleanField("on invoices", default=False)
    position = models.PositiveSmallIntegerField(default=100, help_text="The lowest comes first.")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(title="") & ~models.Q(text=""), name="notice_said")]

    def __str__(self) -> str:
        return self.title
