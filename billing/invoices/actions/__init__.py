"""Everything that a person does with invoices and the money for them."""

from billing.invoices.actions.invoicing import credit_invoice, make_invoice
from billing.invoices.actions.receiving import (
    receive_deposit,
    receive_payment,
    refund_credit,
    use_credit,
)
from billing.invoices.actions.reversing import cover_owed, receive_owed, reverse_payment
from billing.invoices.actions.settings import change_billing, change_customer_billing, name_account
from billing.invoices.actions.writing_off import (
    reverse_loose_write_off,
    reverse_write_off,
    write_off,
    write_off_loose,
)

__all__ = [
    "change_billing",
    "change_customer_billing",
    "cover_owed",
    "credit_invoice",
    "make_invoice",
    "name_account",
    "receive_deposit",
    "receive_owed",
    "receive_payment",
    "refund_credit",
    "reverse_loose_write_off",
    "reverse_payment",
    "reverse_write_off",
    "use_credit",
    "write_off",
    "write_off_loose",
]
