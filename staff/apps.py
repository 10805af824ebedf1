"""The staff app."""

from django.apps import AppConfig

from web.sentences import set_sentences

set_sentences()  # before any app makes a form: a field takes its words when it is made


class StaffConfig(AppConfig):
    """Set-up of the staff app."""

    name = "staff"

    def ready(self) -> None:
        """Have an eye on the doors."""
        from django.contrib.auth.signals import user_logged_in
        from django_structlog.signals import bind_extra_request_metadata

        from staff.doors.events import bind_address
        from staff.doors.logging_in import on_login

        bind_extra_request_metadata.connect(bind_address, dispatch_uid="address")
        user_logged_in.connect(on_login, dispatch_uid="login")
