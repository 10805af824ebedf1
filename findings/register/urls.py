"""Addresses of the register of instruments; included by findings.urls."""

from django.urls import path

from findings.register import views

urlpatterns = [
    path("instruments/", views.instruments, name="instruments"),
    path("instruments/add/", views.instrument_add, name="instrument_add"),
    path("instruments/<int:pk>/", views.instrument, name="instrument"),
    path("instruments/<int:pk>/edit/", views.instrument_change, name="instrument_change"),
    path("instruments/calibrations/<int:pk>/void/", views.calibration_strike, name="calibration_strike"),
]
