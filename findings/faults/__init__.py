"""Scans, clears, work done, and the faults that they tell of."""
