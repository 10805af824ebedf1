"""The database's own refusal to change what stands in the log: the one of the journal of commands."""

from commands.triggers import FUNCTION, AppendOnly, append_only

__all__ = ["FUNCTION", "AppendOnly", "append_only"]
