"""Tanks: how much is in them at which height, and the table that a gauge is calibrated by."""
