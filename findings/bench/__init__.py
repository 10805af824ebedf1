"""The Bench: the calculations of the trade as short forms in a job, whose results can be logged."""
