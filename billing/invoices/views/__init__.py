"""The pages of invoices and money."""
