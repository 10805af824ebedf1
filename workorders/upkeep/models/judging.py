"""Where each service stood when it was judged last, and what has to be judged again."""

from __future__ import annotations

from django.db import models

from engineering.service import Standing
from vessels.models import Customer, Vessel
from workorders.upkeep.models.plans import Adoption


class Judgment(models.Model):
    """Where a service stands that an engine follows, from ``judged_on`` until the day before ``turns_on``.

    It can be emptied at any time: what is not here, and what the database marked, is judged before it is shown.
    ``place`` is its place in the list of the shop; ``due_on`` the nearest day, ``told_on`` the one that is told;
    ``words`` what it is found by; ``told`` all of it as ``workorders.upkeep.spelling`` writes it down.
    """

    STANDINGS = [(one.value, one.value) for one in Standing]

    adoption = models.OneToOneField(
        Adoption,
        on_delete=models.CASCADE,
        primary_key=True,
        related_name="judgment",
        db_constraint=False,
    )
    vessel = models.ForeignKey(Vessel, on_delete=models.CASCADE, related_name="+", db_constraint=False)
    owner = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="+", db_constraint=False, db_index=False)
    standing = models.CharField(max_length=9, choices=STANDINGS)
    place = models.TextField(db_collation="C")
    due_on = models.DateField(null=True)
    told_on = models.DateField(null=True)
    words = models.TextField()
    told = models.TextField()
    judged_on = models.DateField()
    turns_on = models.DateField(null=True)
    rules = models.PositiveSmallIntegerField()

    class Meta:
        indexes = [
            models.Index(fields=["place", "adoption"], name="judgments_in_order"),
            models.Index(fields=["owner", "place"], name="judgments_of_owner"),
            models.Index(fields=["due_on", "adoption"], name="judgments_by_day_due"),
            models.Index(fields=["told_on", "adoption"], name="judgments_by_day_told"),
            models.Index(fields=["turns_on"], name="judgments_that_turn"),
            models.Index(fields=["judged_on"], name="judgments_by_day"),
            models.Index(fields=["rules"], name="judgments_by_rules"),
        ]

    def __str__(self) -> str:
        return f"adoption {self.adoption_id}: {self.standing}"


class StaleMark(models.Model):
    """An adoption whose judgment something changed for: written by the database, whoever writes what it rests on.

    There may be several of one adoption: a mark is removed by the judging that saw it, and a later one stays.
    """

    adoption_id = models.BigIntegerField()

    def __str__(self) -> str:
        return f"adoption {self.adoption_id} is to be judged"
