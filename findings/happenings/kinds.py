"""The kinds of log entry. Their sentences say all that their details hold, so that the log needs no more markup."""

from vessels.log.registry import LogKind, register

VISUAL = "visual-finding"
TEST = "function-test"
KINDS = (VISUAL, TEST)
"""In the order in which paper and page tell of them."""


def register_kinds() -> None:
    """Make them known."""
    register(
        LogKind(VISUAL, "Visual finding", icon="eye", model="happenings.VisualFinding", evidence=True),
        LogKind(TEST, "Function test", icon="timer", model="happenings.FunctionTest", evidence=True),
    )
