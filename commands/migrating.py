"""Steps of migrations that leave alone what they do not touch."""

from __future__ import annotations

from django.db.migrations.state import ProjectState
from pgtrigger.migrations import AddTrigger as LibraryAddTrigger


class AddTrigger(LibraryAddTrigger):  # type: ignore[misc]
    """Add a trigger without drawing up again every model that is related to its own.

    The library has Django render the model anew, and with it nearly all others, as nearly all point at a person: a
    tenth of a second each. A trigger is no part of what is rendered.
    """

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Note the trigger among the options of its model."""
        options = state.models[app_label, self.model_name.lower()].options
        options["triggers"] = [*options.get("triggers", []), self.trigger]
