"""The vessels app."""

from django.apps import AppConfig


class VesselsConfig(AppConfig):
    """Set-up of the vessels app."""

    name = "vessels"

    def ready(self) -> None:
        """Make the kinds of log entry, the tabs, the overview's sections and what can be done with a vessel known."""
        from staff.doors.passwords import register_words
        from staff.journal_words import name_acts
        from staff.policy import Permission
        from vessels.frames import Offer, offer
        from vessels.kinds import register_kinds
        from vessels.log.acts import acts_on_entries
        from vessels.overview import register_sections
        from vessels.queries.lists import boat_names
        from vessels.tabs import Tab, register

        register_kinds()
        name_acts(acts_on_entries)
        register_words(boat_names)
        register(Tab("Overview", "vessels:vessel", 10))
        register(Tab("Engines", "vessels:engines", 20))
        register(Tab("Log", "vessels:log", 60))
        register_sections()
        offer(Offer("Write a note", "vessels:note", "notebook-pen", 80, Permission.WRITE_NOTES))
