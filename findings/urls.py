"""Addresses of the findings app."""

from django.urls import URLPattern

app_name = "findings"
urlpatterns: list[URLPattern] = []
