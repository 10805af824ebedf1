"""Every address of the program."""

from django.urls import include, path

from shopfloor import views
from shopfloor.health import health
from shopfloor.offline import offline, service_worker
from shopfloor.week.views import week

urlpatterns = [
    path("", views.today, name="today"),
    path("search/", views.search, name="search"),
    path("week/", week, name="week"),
    path("offline/", offline, name="offline"),
    path("service-worker.js", service_worker, name="service_worker"),
    path("health/", health, name="health"),
    path("", include("staff.urls")),
    path("", include("vessels.urls")),
    path("parts/", include("parts.urls")),
    path("", include("workorders.urls")),
    path("", include("workorders.labor.urls")),
    path("", include("workorders.taxes.urls")),
    path("", include("billing.invoices.urls")),
    path("", include("billing.figures.urls")),
    path("", include("workorders.upkeep.urls")),
    path("", include("workorders.appointments.urls")),
    path("", include("workorders.calls.urls")),
    path("", include("workorders.calendar.urls")),
    path("", include("billing.authorizations.urls")),
    path("", include("billing.estimates.urls")),
    path("", include("findings.urls")),
    path("", include("findings.reports.urls")),
]

handler500 = "shopfloor.troubles.went_wrong"
