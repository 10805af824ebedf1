"""What is asked about customers, vessels, engines and their hours."""

from vessels.queries.engines import (
    engine_choices,
    fitted_engines,
    identity_at,
    job_choices,
    units_with_identity,
)
from vessels.queries.finding import (
    find_vessels,
    found_customers,
    matching_customers,
    matching_vessels,
    possible_duplicates,
    word_query,
)
from vessels.queries.hours import hours_at, hours_by_engine, hours_by_key, latest_hours

__all__ = [
    "engine_choices",
    "find_vessels",
    "fitted_engines",
    "found_customers",
    "hours_at",
    "hours_by_engine",
    "hours_by_key",
    "identity_at",
    "job_choices",
    "latest_hours",
    "matching_customers",
    "matching_vessels",
    "possible_duplicates",
    "units_with_identity",
    "word_query",
]
