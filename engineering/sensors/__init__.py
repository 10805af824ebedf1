"""Sensors judged from what a meter shows: thermistors, transducers, current loops, position sensors, level senders."""
