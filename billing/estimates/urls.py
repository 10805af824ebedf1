"""Addresses of estimates and kits."""

from django.urls import path

from billing.estimates.views import giving, kits, writing

app_name = "estimates"
urlpatterns = [
    path("jobs/<int:number>/estimate/", writing.job, name="job"),
    path("jobs/<int:number>/estimate/start/", writing.start, name="start"),
    path("jobs/<int:number>/estimate/discard/", writing.discard, name="discard"),
    path("jobs/<int:number>/estimate/fill/", writing.fill, name="fill"),
    path("jobs/<int:number>/estimate/terms/", writing.terms, name="terms"),
    path("jobs/<int:number>/estimate/lines/add/", writing.line_add, name="line_add"),
    path("jobs/<int:number>/estimate/lines/remove/", writing.line_remove, name="line_remove"),
    path("jobs/<int:number>/estimate/lines/<int:pk>/", writing.line, name="line"),
    path("jobs/<int:number>/estimate/options/add/", writing.option_add, name="option_add"),
    path("jobs/<int:number>/estimate/options/remove/", writing.option_remove, name="option_remove"),
    path("jobs/<int:number>/estimate/options/<int:pk>/", writing.option, name="option"),
    path("jobs/<int:number>/estimate/give/", giving.give, name="give"),
    path("jobs/<int:number>/estimate/<int:revision>/", giving.given, name="given"),
    path("jobs/<int:number>/estimate/<int:revision>/estimate.pdf", giving.pdf, name="pdf"),
    path("jobs/<int:number>/estimate/<int:revision>/charge/", giving.charge, name="charge"),
    path("kits/", kits.kits, name="kits"),
    path("kits/<int:pk>/", kits.kit, name="kit"),
    path("kits/<int:pk>/lines/add/", kits.line_add, name="kit_line_add"),
    path("kits/<int:pk>/lines/remove/", kits.line_remove, name="kit_line_remove"),
    path("kits/lines/<int:pk>/", kits.line, name="kit_line"),
]
