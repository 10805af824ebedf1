"""Readings, the parameters they are of, and the spec cards they are judged by."""
