"""Addresses of scans, clears, work and faults; included by findings.urls."""

from django.urls import path

from findings.faults.views import clearing, explaining, pages, pasting, scanning, working

urlpatterns = [
    path("jobs/<int:number>/scan/", scanning.scan, name="scan"),
    path("jobs/<int:number>/paste/", pasting.paste, name="paste"),
    path("jobs/<int:number>/clear/", clearing.clear, name="clear"),
    path("jobs/<int:number>/work/", working.work, name="work"),
    path("units/<int:pk>/code/", explaining.explain_code, name="explain"),
    path("vessels/<int:pk>/faults/", pages.vessel_faults, name="vessel_faults"),
    path("faults/<int:pk>/", pages.fault, name="fault"),
]
