"""Addresses of authorizations."""

from django.urls import path

from billing.authorizations.views import agreeing, answering, deferred, ruling, signing

app_name = "authorizations"
urlpatterns = [
    path("jobs/<int:number>/authorization/", agreeing.job, name="job"),
    path("jobs/<int:number>/authorization/answer/", answering.answer, name="answer"),
    path("jobs/<int:number>/authorization/go-on/", agreeing.go_on_page, name="go_on"),
    path("jobs/<int:number>/authorization/let-go/", agreeing.let_go, name="let_go"),
    path("jobs/<int:number>/authorization/<int:pk>/withdraw/", agreeing.withdraw, name="withdraw"),
    path("jobs/<int:number>/authorization/<int:pk>/signature.svg", signing.signature, name="signature"),
    path("jobs/<int:number>/authorization/<int:pk>/photo.jpg", signing.photo, name="photo"),
    path("jobs/<int:number>/authorization/<int:pk>/paper.pdf", signing.paper, name="pdf"),
    path("jobs/<int:number>/deferred/<int:pk>/add/", deferred.add_to_job, name="deferred_add"),
    path("deferred/", deferred.everything, name="deferred"),
    path("deferred.csv", deferred.everything_csv, name="deferred_csv"),
    path("deferred/<int:pk>/drop/", deferred.drop, name="deferred_drop"),
    path("deferred/<int:pk>/open/", deferred.reopen, name="deferred_open"),
    path("shop/authorization/", ruling.rules_page, name="rules"),
]
