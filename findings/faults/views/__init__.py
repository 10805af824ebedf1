"""Pages of faults, and the forms that log them."""
