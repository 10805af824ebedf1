"""The kinds of log entry. Their sentences say all that their details hold, so that the log needs no more markup."""

from vessels.log.registry import LogKind, register

VISUAL = "visual-finding"
TEST = "function-test"
SETTING = "setting-changed"
SET_BACK = "setting-set-back"
KINDS = (VISUAL, TEST, SETTING, SET_BACK)
"""In the order in which paper and page tell of them."""


def register_kinds() -> None:
    """Make them known."""
    register(
        LogKind(VISUAL, "Visual finding", icon="eye", model="happenings.VisualFinding", evidence=True),
        LogKind(TEST, "Function test", icon="timer", model="happenings.FunctionTest", evidence=True, aboard=True),
        LogKind(
            SETTING, "Setting changed", icon="key-round", model="happenings.SettingChange", evidence=True, aboard=True
        ),
        LogKind(
            SET_BACK,
            "Setting set back",
            icon="undo-2",
            model="happenings.SettingBack",
            children=("ended",),
            evidence=True,
        ),
    )
