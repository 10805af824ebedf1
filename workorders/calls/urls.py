"""Addresses of calls."""

from django.urls import path

from workorders.calls import views

app_name = "calls"
urlpatterns = [
    path("calls/", views.calls, name="list"),
    path("jobs/<int:number>/call/", views.note, name="note"),
]
