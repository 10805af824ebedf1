"""Addresses of parts on the job; included by workorders.urls."""

from django.urls import path

from workorders.jobparts.views import charging, fitting, waiting

urlpatterns = [
    path("jobs/<int:number>/parts/fit/", fitting.fit, name="part_fit"),
    path("jobs/<int:number>/parts/charge/", charging.charge, name="parts_charge"),
    path("jobs/<int:number>/parts/wait/", waiting.add, name="part_await"),
    path("jobs/<int:number>/parts/<int:pk>/", waiting.change, name="part_awaited"),
    path("jobs/<int:number>/parts/<int:pk>/arrived/", waiting.arrived, name="part_arrived"),
    path("jobs/<int:number>/parts/<int:pk>/not-arrived/", waiting.not_arrived, name="part_not_arrived"),
    path("jobs/<int:number>/parts/<int:pk>/cancel/", waiting.cancel, name="part_cancel"),
    path("parts-fitted/<uuid:pk>/correct/", fitting.correct, name="part_correct"),
    path("vessels/<int:pk>/parts/", fitting.vessel_parts, name="vessel_parts"),
    path("vessels/<int:pk>/parts.csv", fitting.vessel_parts_csv, name="vessel_parts_csv"),
]
