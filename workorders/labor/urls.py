"""Addresses of hours."""

from django.urls import path

from workorders.labor import touching, views

app_name = "labor"
urlpatterns = [
    path("jobs/<int:number>/hours/", views.job_hours, name="job"),
    path("jobs/<int:number>/hours.csv", views.job_csv, name="job_csv"),
    path("jobs/<int:number>/hours/note/", views.note, name="note"),
    path("jobs/<int:number>/hours/charge/", views.charge, name="charge"),
    path("jobs/<int:number>/lines/<int:position>/clock/", touching.start, name="start"),
    path("jobs/<int:number>/lines/<int:position>/clock/since/", views.since, name="since"),
    path("hours/", views.running, name="running"),
    path("hours/of/<int:pk>/", views.person_hours, name="person"),
    path("hours/of/<int:pk>.csv", views.person_csv, name="person_csv"),
    path("hours/<uuid:pk>/stop/", touching.stop, name="stop"),
    path("hours/<uuid:pk>/pause/", touching.pause, name="pause"),
    path("hours/<uuid:pk>/take-over/", touching.take, name="take_over"),
    path("hours/<uuid:pk>/until/", views.until, name="until"),
    path("hours/<uuid:pk>/correct/", views.correct, name="correct"),
    path("hours/<uuid:pk>/void/", views.void, name="void"),
]
