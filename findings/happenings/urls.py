"""Addresses of what else happens; included by findings.urls."""

from django.urls import path

from findings.happenings import views

urlpatterns = [
    path("jobs/<int:number>/visual-finding/", views.visual_finding, name="visual_finding"),
    path("visual-findings/<uuid:pk>/correct/", views.correct_visual_finding, name="correct_visual_finding"),
    path("jobs/<int:number>/function-test/", views.function_test, name="function_test"),
    path("function-tests/<uuid:pk>/correct/", views.correct_function_test, name="correct_function_test"),
    path("jobs/<int:number>/setting/", views.setting, name="setting"),
    path("jobs/<int:number>/settings/<uuid:pk>/back/", views.set_back, name="set_back"),
    path("settings/<uuid:pk>/correct/", views.correct_setting, name="correct_setting"),
]
