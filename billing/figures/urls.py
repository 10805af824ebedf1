"""Addresses of the shop's figures."""

from django.urls import path

from billing.figures import views

app_name = "figures"
urlpatterns = [
    path("insight/shop/hours/", views.hours, name="hours"),
    path("insight/shop/hours.csv", views.hours_csv, name="hours_csv"),
    path("insight/shop/comebacks/", views.comebacks, name="comebacks"),
    path("insight/shop/comebacks.csv", views.comebacks_csv, name="comebacks_csv"),
    path("insight/shop/states/", views.states, name="states"),
    path("insight/shop/states.csv", views.states_csv, name="states_csv"),
    path("insight/shop/estimates/", views.estimates, name="estimates"),
    path("insight/shop/estimates.csv", views.estimates_csv, name="estimates_csv"),
    path("insight/shop/owed/", views.owed, name="owed"),
    path("insight/shop/owed.csv", views.owed_csv, name="owed_csv"),
    path("insight/shop/sales/", views.sales, name="sales"),
    path("insight/shop/sales.csv", views.sales_csv, name="sales_csv"),
]
