"""Addresses of jobs."""

from django.urls import include, path

from workorders.views import jobs, lines, lists, noting, opening

app_name = "workorders"
urlpatterns = [
    path("jobs/", lists.board_page, name="board"),
    path("jobs/list/", lists.all_jobs, name="list"),
    path("jobs/list.csv", lists.all_jobs_csv, name="list_csv"),
    path("jobs/open/", opening.open_page, name="open"),
    path("jobs/<int:number>/", jobs.job, name="job"),
    path("jobs/<int:number>/move/", jobs.move, name="move"),
    path("jobs/<int:number>/intake/", jobs.intake, name="intake"),
    path("jobs/<int:number>/tag/", jobs.tag, name="tag"),
    path("jobs/<int:number>/log/", jobs.log, name="log"),
    path("jobs/<int:number>/note/", noting.note, name="note"),
    path("jobs/<int:number>/lines/", lines.lines, name="lines"),
    path("jobs/<int:number>/lines/<int:position>/", lines.line, name="line"),
    path("jobs/<int:number>/charges/add/", lines.charge_add, name="charge_add"),
    path("jobs/<int:number>/charges/<int:pk>/strike/", lines.charge_strike, name="charge_strike"),
    path("jobs/<int:number>/charges/discount/", lines.discount, name="discount"),
    path("jobs/<int:number>/charges/<int:pk>/again/", lines.charge_again_page, name="charge_again"),
    path("jobs/<int:number>/charges/<int:pk>/core-returned/", lines.core_return, name="core_return"),
    path("", include("workorders.jobparts.urls")),
    path("vessels/<int:pk>/jobs/", lists.vessel_jobs, name="vessel_jobs"),
]
