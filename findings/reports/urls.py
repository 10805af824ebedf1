"""Addresses of the condition report."""

from django.urls import URLPattern

app_name = "reports"
urlpatterns: list[URLPattern] = []
