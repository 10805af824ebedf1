"""A busy machine must not fail a test of random examples: no deadline for a single example."""

from hypothesis import settings

settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")
