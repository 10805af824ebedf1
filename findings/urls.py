"""Addresses of the findings app."""

from django.urls import include, path

from findings import job_tab
from findings.insight import views as insight

app_name = "findings"
urlpatterns = [
    path("jobs/<int:number>/findings/", job_tab.job, name="job"),
    path("", include("findings.faults.urls")),
    path("", include("findings.bench.urls")),
    path("", include("findings.readings.urls")),
    path("", include("findings.register.urls")),
    path("", include("findings.canlogs.urls")),
    path("insight/", insight.insight, name="insight"),
    path("insight/returned/", insight.returned, name="insight_returned"),
    path("insight/comebacks/", insight.comebacks, name="insight_comebacks"),
    path("insight/repairs/", insight.repairs, name="insight_repairs"),
    path("insight/recurrence/", insight.recurrence, name="insight_recurrence"),
]
