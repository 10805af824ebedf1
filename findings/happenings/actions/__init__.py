"""What people do here: log a visual finding, a function test, a setting that was changed or set back."""

from findings.happenings.actions.driving import log_function_test
from findings.happenings.actions.looking import log_visual_finding
from findings.happenings.actions.settings import changes_of_setting, log_setting, set_back_setting

__all__ = ["changes_of_setting", "log_function_test", "log_setting", "log_visual_finding", "set_back_setting"]
