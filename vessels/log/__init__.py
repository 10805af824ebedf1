"""The vessel log: append-only, chained, idempotent."""
