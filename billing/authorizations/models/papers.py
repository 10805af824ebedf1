"""Authorizations on paper, as they were drawn."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from billing.authorizations.models.agreed import Authorization
from commands.triggers import append_only


class AuthorizationPaper(models.Model):
    """The PDF of an authorization as it stood, or as it was withdrawn: one each, with the shop's signature or without.

    What is said of an authorization changes with its withdrawal alone; the paper names the day on which it was drawn.
    """

    authorization = models.ForeignKey(Authorization, on_delete=models.PROTECT, related_name="papers")
    is_withdrawn = models.BooleanField()
    is_signed = models.BooleanField()
    pdf_sha256 = models.CharField(max_length=64)
    pdf_size = models.PositiveIntegerField()
    pages = models.PositiveSmallIntegerField()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        triggers = append_only()
        constraints = [
            models.UniqueConstraint(
                fields=["authorization", "is_withdrawn", "is_signed"], name="one_paper_of_an_authorization"
            )
        ]

    def __str__(self) -> str:
        return f"{self.authorization} on paper"
