"""Addresses of the vessels app."""

from django.urls import URLPattern

app_name = "vessels"
urlpatterns: list[URLPattern] = []
