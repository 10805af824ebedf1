"""Addresses of appointments. The week page looks into floors above and is served from there."""

from django.urls import path

from workorders.appointments.views import bays, planning

app_name = "appointments"
urlpatterns = [
    path("appointments/add/", planning.add, name="add"),
    path("appointments/<int:pk>/", planning.one, name="one"),
    path("appointments/<int:pk>/change/", planning.change, name="change"),
    path("appointments/<int:pk>/settle/", planning.settle, name="settle"),
    path("appointments/bays/", bays.bays, name="bays"),
    path("appointments/bays/<int:pk>/", bays.change, name="bay"),
    path("appointments/bays/<int:pk>/end/", bays.end, name="bay_end"),
]
