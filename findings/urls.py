"""Addresses of what is found on boats, by room."""

from django.urls import include, path

from findings import job_tab

app_name = "findings"
urlpatterns = [
    path("jobs/<int:number>/findings/", job_tab.job, name="job"),
    path("", include("findings.faults.urls")),
    path("", include("findings.bench.urls")),
    path("", include("findings.readings.urls")),
    path("", include("findings.happenings.urls")),
    path("", include("findings.register.urls")),
    path("", include("findings.canlogs.urls")),
    path("", include("findings.insight.urls")),
]
