"""What others ask about invoices and money."""
