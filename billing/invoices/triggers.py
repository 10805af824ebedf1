"""The database keeps what is open on each invoice, and what is left of each payment, whoever writes the rows."""

from __future__ import annotations

import pgtrigger
from django.db import models

# Made by the migrations invoices.0005 and invoices.0006.
FUNCTION = "garboard_invoice_stands"
REST_FUNCTION = "garboard_payment_rests"


class KeepsOpen(pgtrigger.Trigger):  # type: ignore[misc]
    """Works out what is open on the invoice that a new row is about."""

    name = "keeps_open"
    when = pgtrigger.After
    operation = pgtrigger.Insert
    func = "RETURN NULL;"

    def render_execute(self, model: type[models.Model]) -> str:
        """Name the function that keeps it."""
        return f"{FUNCTION}()"


class KeepsRest(pgtrigger.Trigger):  # type: ignore[misc]
    """Works out what is left of the payment that a new row is about."""

    name = "keeps_rest"
    when = pgtrigger.After
    operation = pgtrigger.Insert
    func = "RETURN NULL;"

    def render_execute(self, model: type[models.Model]) -> str:
        """Name the function that keeps it."""
        return f"{REST_FUNCTION}()"
