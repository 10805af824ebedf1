"""Addresses of CAN logs; included by findings.urls."""

from django.urls import path, register_converter

from findings.canlogs.views import bringing, previewing


class Sha256Converter:
    """A digest in hex."""

    regex = "[0-9a-f]{64}"

    def to_python(self, value: str) -> str:
        """As it is."""
        return value

    def to_url(self, value: str) -> str:
        """As it is."""
        return value


register_converter(Sha256Converter, "sha256")

urlpatterns = [
    path("jobs/<int:number>/can-logs/", bringing.can_logs, name="can_logs"),
    path("jobs/<int:number>/can-logs/<int:pk>/", previewing.can_log, name="can_log"),
    path("jobs/<int:number>/can-logs/<int:pk>/progress/", previewing.can_log_progress, name="can_log_progress"),
    path("jobs/<int:number>/can-logs/<int:pk>/again/", bringing.can_log_again, name="can_log_again"),
    path("jobs/<int:number>/can-logs/<int:pk>/discard/", bringing.can_log_discard, name="can_log_discard"),
    path("can-logs/<sha256:digest>/", bringing.can_log_file, name="can_log_file"),
]
