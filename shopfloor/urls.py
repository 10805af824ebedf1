"""Every address of the program."""

from django.urls import include, path

urlpatterns = [
    path("", include("staff.urls")),
    path("", include("vessels.urls")),
    path("parts/", include("parts.urls")),
    path("", include("workorders.urls")),
    path("", include("findings.urls")),
    path("", include("findings.reports.urls")),
]
