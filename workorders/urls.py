"""Addresses of the workorders app."""

from django.urls import URLPattern

app_name = "workorders"
urlpatterns: list[URLPattern] = []
