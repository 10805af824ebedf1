"""Addresses of the condition report."""

from django.urls import path

from findings.reports.views import drafts, issued, verify

app_name = "reports"
urlpatterns = [
    path("jobs/<int:number>/report/", drafts.job, name="job"),
    path("jobs/<int:number>/report/start/", drafts.start, name="start"),
    path("jobs/<int:number>/report/discard/", drafts.discard, name="discard"),
    path("jobs/<int:number>/report/preview/", drafts.preview, name="preview"),
    path("jobs/<int:number>/report/preview.pdf", drafts.preview_pdf, name="preview_pdf"),
    path("jobs/<int:number>/report/sign/", drafts.sign, name="sign"),
    path("jobs/<int:number>/report/progress/", drafts.progress, name="progress"),
    path("jobs/<int:number>/report/retry/", drafts.retry, name="retry"),
    path("reports/<str:report>/", issued.issued, name="issued"),
    path("reports/<str:report>/pdf/", issued.pdf, name="pdf"),
    path("reports/<str:report>/revise/", issued.revise, name="revise"),
    path("reports/<str:report>/withdraw/", issued.withdraw, name="withdraw"),
    path("verify/", verify.verify, name="verify"),
    path("verify/<str:report>/<str:code>/", verify.verify_code, name="verify_code"),
]
