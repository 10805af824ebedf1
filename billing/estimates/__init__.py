"""Estimates: what work will cost, in versions that are kept as they were given."""
