"""Addresses of service due."""

from django.urls import path

from workorders.upkeep.views import adopting, doing, laying_up, planning, reminding, standing

app_name = "upkeep"
urlpatterns = [
    path("service/", standing.everything, name="list"),
    path("service.csv", standing.everything_csv, name="list_csv"),
    path("service/plans/", planning.plans, name="plans"),
    path("service/plans/add/", planning.add, name="plan_add"),
    path("service/plans/<int:pk>/", planning.change, name="plan"),
    path("service/plans/<int:pk>/end/", planning.end, name="plan_end"),
    path("service/reminders/", reminding.reminders, name="reminders"),
    path("vessels/<int:pk>/reminded/", reminding.note, name="reminded"),
    path("vessels/<int:pk>/service/", standing.vessel, name="vessel"),
    path("vessels/<int:pk>/laid-up/", laying_up.add, name="lay_up"),
    path("laid-up/<int:pk>/", laying_up.change, name="stay"),
    path("laid-up/<int:pk>/void/", laying_up.strike, name="stay_strike"),
    path("engines/<int:pk>/plans/", adopting.adopt, name="adopt"),
    path("engines/<int:pk>/service-done/", doing.log, name="done"),
    path("followed/<int:pk>/", adopting.change, name="adoption"),
    path("followed/<int:pk>/end/", adopting.end, name="adoption_end"),
    path("service-done/<uuid:pk>/correct/", doing.correct, name="done_correct"),
    path("jobs/<int:number>/lines/<int:position>/service-done/", doing.line_done, name="line_done"),
    path("jobs/<int:number>/service/<int:pk>/add/", doing.add_to_job, name="add_to_job"),
]
