"""Addresses of Insight."""

from django.urls import path

from findings.insight import views

urlpatterns = [
    path("insight/", views.insight, name="insight"),
    path("insight/returned/", views.returned, name="insight_returned"),
    path("insight/comebacks/", views.comebacks, name="insight_comebacks"),
    path("insight/repairs/", views.repairs, name="insight_repairs"),
    path("insight/recurrence/", views.recurrence, name="insight_recurrence"),
]
