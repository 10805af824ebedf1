"""Addresses of the parts app."""

from django.urls import path

from parts import views

app_name = "parts"
urlpatterns = [
    path("", views.catalog, name="list"),
    path("add/", views.part_add, name="add"),
    path("<int:pk>/", views.part, name="part"),
    path("<int:pk>/edit/", views.part_change, name="change"),
]
