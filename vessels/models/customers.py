"""Customers: people and firms, with as many phones and mails as they like."""

from __future__ import annotations

from typing import Any

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex, OpClass
from django.db import models
from django.db.models.functions import Lower, Reverse
from django.utils import timezone

from vessels.models.searching import keep_keys, words_of
from vessels.phones import to_call
from vessels.spelling import near_keys
from web.versions import Versioned


class Customer(Versioned):
    """A person or a firm that brings boats."""

    KINDS = [("person", "Person"), ("firm", "Company")]

    kind = models.CharField(max_length=8, choices=KINDS, default="person")
    name = models.CharField(max_length=120)
    contact = models.CharField("contact person", max_length=120, blank=True)
    address = models.TextField(blank=True)
    notes = models.TextField(blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["name", "pk"]
        indexes = [
            models.Index(Lower("name"), "id", name="customer_name"),
            GinIndex(words_of("name", "contact"), name="customer_words"),
        ]
        constraints = [models.CheckConstraint(condition=~models.Q(name=""), name="customer_named")]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save, and keep the keys under which a misspelled name is found."""
        super().save(*args, **kwargs)
        changed = kwargs.get("update_fields")
        if changed is None or {"name", "contact"} & set(changed):
            keep_keys(CustomerSpelling(customer=self, keys=near_keys(self.name, self.contact)))


class CustomerSpelling(models.Model):
    """What a customer's name and contact may be misspelled as, and what they sound like."""

    customer = models.OneToOneField(Customer, on_delete=models.CASCADE, primary_key=True, related_name="spelling")
    keys = ArrayField(models.TextField())

    class Meta:
        indexes = [GinIndex(fields=["keys"], name="customer_spelling", fastupdate=False)]

    def __str__(self) -> str:
        return f"Spellings of {self.customer}"


class CustomerPhone(models.Model):
    """One number of a customer, as it is shown everywhere and as it is dialed (``digits``, E.164)."""

    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="phones")
    label = models.CharField(max_length=20, blank=True)
    number = models.CharField(max_length=40)
    digits = models.CharField(max_length=20, editable=False)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        indexes = [
            models.Index(fields=["digits"], name="phone_digits"),
            models.Index(OpClass("digits", name="varchar_pattern_ops"), name="phone_forwards"),
            # The last digits are what people remember of a number.
            models.Index(OpClass(Reverse("digits"), name="text_pattern_ops"), name="phone_backwards"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def to_call(self) -> str:
        """What a link of the number dials."""
        return to_call(self.number, self.digits)


class CustomerEmail(models.Model):
    """One mail address of a customer."""

    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="emails")
    label = models.CharField(max_length=20, blank=True)
    address = models.EmailField()
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        indexes = [models.Index(OpClass(Lower("address"), name="text_pattern_ops"), name="email_address")]

    def __str__(self) -> str:
        return self.address
