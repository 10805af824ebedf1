"""What the tests of money share: the cast, a job of theirs, and a database with real commits."""

from tests.workorders.conftest import _triggers_back, cast, committed_db, job

__all__ = ["_triggers_back", "cast", "committed_db", "job"]
