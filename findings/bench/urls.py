"""Addresses of the Bench; included by findings.urls."""

from django.urls import path

from findings.bench import views

urlpatterns = [
    path("jobs/<int:number>/bench/", views.bench, name="bench"),
    path("jobs/<int:number>/bench/<slug:slug>/", views.tool, name="bench_tool"),
]
