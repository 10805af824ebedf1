"""Addresses of the calendar."""

from django.urls import path

from workorders.calendar import views

app_name = "calendar"
urlpatterns = [
    path("calendar-feeds/", views.feeds, name="feeds"),
    path("calendar-feeds/add/", views.add, name="add"),
    path("calendar-feeds/<int:pk>/address/", views.address, name="address"),
    path("calendar-feeds/<int:pk>/new-address/", views.renew, name="renew"),
    path("calendar-feeds/<int:pk>/revoke/", views.revoke, name="revoke"),
    path("calendar/<str:key>.ics", views.feed, name="feed"),
]
