"""The database’s own refusal to change what only ever grows."""

from __future__ import annotations

import pgtrigger
from django.db import models

# Made by the migration vessels.0001.
FUNCTION = "garboard_append_only"


class AppendOnly(pgtrigger.Trigger):  # type: ignore[misc]
    """Refuses an operation whoever asks.

    The trigger runs a function of ours, because the library's own one can be told by any session to look away.
    """

    func = "RETURN NULL;"

    def render_execute(self, model: type[models.Model]) -> str:
        """Name the function that refuses."""
        return f"{FUNCTION}()"


def append_only() -> list[pgtrigger.Trigger]:
    """The triggers of a table that only ever grows."""
    return [
        AppendOnly(name="no_change", when=pgtrigger.Before, operation=pgtrigger.Update | pgtrigger.Delete),
        AppendOnly(name="no_truncate", when=pgtrigger.Before, operation=pgtrigger.Truncate, level=pgtrigger.Statement),
    ]
