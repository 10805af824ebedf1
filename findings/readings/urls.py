"""Addresses of readings and spec cards; included by findings.urls."""

from django.urls import path

from findings.readings import correcting, sheet_views, views

urlpatterns = [
    path("jobs/<int:number>/readings/", sheet_views.job_readings, name="job_readings"),
    path("jobs/<int:number>/readings/find/", sheet_views.find, name="find_parameter"),
    path("readings/<uuid:pk>/correct/", correcting.correct, name="correct_reading"),
    path("readings/judged/<int:pk>/", sheet_views.judged, name="judged"),
    path("vessels/<int:pk>/readings/", views.vessel_readings, name="vessel_readings"),
    path("vessels/<int:pk>/readings/<int:parameter>/", views.parameter_history, name="parameter_history"),
    path("spec-cards/", views.card_list, name="cards"),
    path("spec-cards/add/", views.card_add, name="card_add"),
    path("spec-cards/<int:pk>/", views.card_change, name="card_change"),
]
