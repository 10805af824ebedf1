"""Electrical calculations of a boat's direct-current system: conductors, circuits, batteries, charging.

Shore power and anything above 50 V are not covered.
"""
