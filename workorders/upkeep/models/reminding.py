"""Who was reminded of service due, letters that remind, and who wants none."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from vessels.log.triggers import append_only
from vessels.models import Customer, Vessel


class Reminder(models.Model):
    """An owner was reminded of service due: how, by whom, and what was due then, in words."""

    WAYS = [("call", "called"), ("mail", "wrote a mail"), ("letter", "wrote a letter"), ("other", "told in person")]

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="reminders")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    way = models.CharField("how", max_length=8, choices=WAYS)
    remark = models.CharField("what was said", max_length=200, blank=True)
    told = models.TextField("what was due")
    letter = models.ForeignKey(
        "ReminderLetter", on_delete=models.PROTECT, related_name="reminders", null=True, blank=True
    )
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["vessel", "-at"], name="reminders_of_vessel")]

    def __str__(self) -> str:
        return f"{self.customer} was reminded"


class ReminderWish(models.Model):
    """Whether a customer wants to be reminded, as somebody noted it. The last row of a customer counts; none is yes."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="reminder_wishes")
    wants = models.BooleanField("wants reminders")
    remark = models.CharField("what was said", max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.customer} {'wants' if self.wants else 'wants no'} reminders"


class ReminderLetter(models.Model):
    """A letter to a customer about service due, frozen when it was written.

    ``record`` is the letter as canonical JSON, from which it is drawn; its file is there once a worker has drawn it. It
    counts as a reminder only when somebody noted that it was sent.
    """

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="reminder_letters")
    record = models.TextField(editable=False)
    record_sha256 = models.CharField(max_length=64, editable=False)
    written_at = models.DateTimeField(default=timezone.now, editable=False)
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    pdf_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    pdf_size = models.PositiveIntegerField(null=True, editable=False)
    pages = models.PositiveSmallIntegerField(null=True, editable=False)
    signature_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    certificate_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    level = models.CharField("PAdES level", max_length=8, blank=True, editable=False)
    problem = models.TextField("why it is not drawn", blank=True, editable=False)
    sent_at = models.DateTimeField(null=True, blank=True, editable=False)
    sent_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True)
    discarded_at = models.DateTimeField(null=True, blank=True, editable=False)
    discarded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True)

    class Meta:
        ordering = ["-written_at", "-pk"]
        indexes = [models.Index(fields=["-written_at"], name="reminder_letters_newest")]
        constraints = [
            models.UniqueConstraint(
                fields=["customer"],
                condition=models.Q(sent_at=None, discarded_at=None),
                name="one_letter_waits_per_customer",
            ),
            models.CheckConstraint(
                condition=models.Q(sent_at=None) | models.Q(discarded_at=None), name="letter_sent_or_discarded"
            ),
        ]

    def __str__(self) -> str:
        return f"letter {self.pk} to {self.customer}"

    @property
    def waits(self) -> bool:
        """Whether it is neither sent nor discarded."""
        return self.sent_at is None and self.discarded_at is None
