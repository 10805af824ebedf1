"""Heads over all chains of the log, each over the one before."""

from __future__ import annotations

from django.db import models

from vessels.log.triggers import append_only


class LogAnchor(models.Model):
    """Where every vessel's chain stood at one moment.

    ``changed`` lists ``[vessel, position, digest]`` of each chain that has grown since the anchor before; ``head`` is a
    digest over the head before and all of this, so that one head, kept in another place, holds every chain up to then.
    ``journal`` lists ``[chain, position, link]`` of the journal's chains in the same way; null in an anchor from before
    the journal was anchored, whose head speaks of the log alone.
    """

    number = models.PositiveIntegerField(primary_key=True)
    taken_at = models.DateTimeField()
    vessels = models.PositiveIntegerField()
    entries = models.PositiveIntegerField()
    changed = models.JSONField()
    journal = models.JSONField(null=True)
    head = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["number"]
        triggers = append_only()

    def __str__(self) -> str:
        return f"Anchor {self.number}"
