"""Databases of released versions, filled, and brought up to date."""
