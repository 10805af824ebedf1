"""Addresses of people and shop."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
