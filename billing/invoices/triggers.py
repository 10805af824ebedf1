"""The database keeps what is open on each invoice, whoever writes the rows that it comes to."""

from __future__ import annotations

import pgtrigger
from django.db import models

# Made by the migration invoices.0005.
FUNCTION = "garboard_invoice_stands"


class KeepsOpen(pgtrigger.Trigger):  # type: ignore[misc]
    """Works out what is open on the invoice that a new row is about."""

    name = "keeps_open"
    when = pgtrigger.After
    operation = pgtrigger.Insert
    func = "RETURN NULL;"

    def render_execute(self, model: type[models.Model]) -> str:
        """Name the function that keeps it."""
        return f"{FUNCTION}()"
