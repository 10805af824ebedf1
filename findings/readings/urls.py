"""Addresses of readings and spec cards; included by findings.urls."""

from django.urls import path

from findings.readings import card_file_views, card_views, correcting, saved_views, sheet_views, views

urlpatterns = [
    path("jobs/<int:number>/readings/", sheet_views.job_readings, name="job_readings"),
    path("jobs/<int:number>/readings/find/", sheet_views.find, name="find_parameter"),
    path("readings/<uuid:pk>/correct/", correcting.correct, name="correct_reading"),
    path("readings/judged/<int:pk>/", sheet_views.judged, name="judged"),
    path("vessels/<int:pk>/readings/", views.vessel_readings, name="vessel_readings"),
    path("vessels/<int:pk>/readings/<int:parameter>/", views.parameter_history, name="parameter_history"),
    path("reading-sheets/", saved_views.sheets, name="sheets"),
    path("reading-sheets/<int:pk>/", saved_views.sheet, name="sheet"),
    path("reading-sheets/<int:pk>/share/", saved_views.sheet_share, name="sheet_share"),
    path("reading-sheets/<int:pk>/end/", saved_views.sheet_end, name="sheet_end"),
    path("spec-cards/", card_views.card_list, name="cards"),
    path("spec-cards/add/", card_views.card_add, name="card_add"),
    path("spec-cards/<int:pk>/", card_views.card, name="card"),
    path("spec-cards/<int:pk>/limits.csv", card_file_views.card_csv, name="card_csv"),
    path("spec-cards/<int:pk>/csv/", card_file_views.card_bring, name="card_bring"),
    path("spec-cards/of-family/<int:pk>/limits.csv", card_file_views.family_csv, name="family_csv"),
    path("spec-cards/of-family/<int:pk>/csv/", card_file_views.family_bring, name="family_bring"),
    path("spec-cards/<int:pk>/change/", card_views.card_change, name="card_change"),
]
