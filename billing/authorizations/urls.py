"""Addresses of authorizations."""

from django.urls import path

from billing.authorizations import views

app_name = "authorizations"
urlpatterns = [
    path("jobs/<int:number>/authorization/", views.job, name="job"),
    path("jobs/<int:number>/authorization/go-on/", views.go_on_page, name="go_on"),
    path("jobs/<int:number>/authorization/<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("shop/authorization/", views.rules_page, name="rules"),
]
