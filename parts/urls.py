"""Addresses of the parts app."""

from django.urls import URLPattern

app_name = "parts"
urlpatterns: list[URLPattern] = []
