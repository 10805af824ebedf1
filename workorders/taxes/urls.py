"""Addresses of taxes."""

from django.urls import path

from workorders.taxes import views

app_name = "taxes"
urlpatterns = [
    path("shop/taxes/", views.taxes, name="list"),
    path("shop/taxes/<int:pk>/rate/", views.rate, name="rate"),
    path("shop/taxes/<int:pk>/end/", views.end, name="end"),
    path("shop/taxes/<int:pk>/remove/", views.rate_remove, name="rate_remove"),
    path("customers/<int:pk>/tax/", views.certificates, name="certificates"),
    path("customers/tax/<int:pk>/end/", views.certificate_end, name="certificate_end"),
]
