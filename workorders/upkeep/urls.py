"""Addresses of service due."""

from django.urls import path

from workorders.upkeep.views import adopting, doing, laying_up, letters, planning, reminding, standing

app_name = "upkeep"
urlpatterns = [
    path("service/", standing.everything, name="list"),
    path("service.csv", standing.everything_csv, name="list_csv"),
    path("service/plans/", planning.plans, name="plans"),
    path("service/plans/add/", planning.add, name="plan_add"),
    path("service/plans/<int:pk>/", planning.change, name="plan"),
    path("service/plans/<int:pk>/end/", planning.end, name="plan_end"),
    path("service/reminders/", reminding.reminders, name="reminders"),
    path("service/reminders.csv", reminding.reminders_csv, name="reminders_csv"),
    path("service/letters/", letters.letters, name="letters"),
    path("service/letters/write/", letters.write, name="letters_write"),
    path("service/letters/sent/", letters.sent, name="letters_sent"),
    path("service/letters/<int:pk>.pdf", letters.pdf, name="letter_pdf"),
    path("service/letters/<int:pk>/discard/", letters.discard, name="letter_discard"),
    path("service/letters/<int:pk>/again/", letters.again, name="letter_again"),
    path("customers/<int:pk>/reminded/", reminding.note, name="reminded"),
    path("customers/<int:pk>/reminders/", reminding.wish, name="wish"),
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
