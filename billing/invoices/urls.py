"""Addresses of invoices and money."""

from django.urls import path

from billing.invoices.views import books, customers, invoices, jobs, loose, papers, shop

app_name = "invoices"
urlpatterns = [
    path("jobs/<int:number>/invoices/", jobs.job, name="job"),
    path("jobs/<int:number>/invoices/make/", jobs.make, name="make"),
    path("jobs/<int:number>/deposit/", jobs.deposit, name="deposit"),
    path("invoices/", invoices.invoices, name="list"),
    path("invoices.csv", invoices.invoices_csv, name="list_csv"),
    path("invoices/left/", invoices.left, name="left"),
    path("invoices/<int:pk>/", invoices.invoice, name="invoice"),
    path("invoices/<int:pk>/pdf/", papers.pdf, name="pdf"),
    path("credit-notes/<int:pk>/pdf/", papers.credit_pdf, name="credit_pdf"),
    path("invoices/<int:pk>/pay/", invoices.pay, name="pay"),
    path("invoices/<int:pk>/use/", invoices.use, name="use"),
    path("invoices/<int:pk>/credit/", invoices.credit, name="credit"),
    path("invoices/<int:pk>/write-off/", invoices.off, name="write_off"),
    path("write-offs/<int:pk>/reverse/", invoices.off_reverse, name="write_off_reverse"),
    path("payments/<int:pk>/reverse/", invoices.payment_reverse, name="payment_reverse"),
    path("invoices/aging/", invoices.aging, name="aging"),
    path("invoices/aging.csv", invoices.aging_csv, name="aging_csv"),
    path("invoices/day-book/", books.book, name="day_book"),
    path("invoices/journal.csv", books.journal_csv, name="journal_csv"),
    path("customers/<int:pk>/money/", customers.customer, name="customer"),
    path("customers/<int:pk>/money/statement/", customers.statement_pdf, name="statement_pdf"),
    path("customers/<int:pk>/money/pay-back/", customers.refund, name="refund"),
    path("customers/<int:pk>/money/owed/", customers.owed, name="owed"),
    path("customers/<int:pk>/money/cover/", customers.cover, name="cover"),
    path("customers/<int:pk>/money/write-off/", loose.off_owed, name="off_owed"),
    path("customers/<int:pk>/money/write-off-credit/", loose.off_credit, name="off_credit"),
    path("customers/money/write-offs/<int:pk>/reverse/", loose.off_reverse, name="loose_off_reverse"),
    path("customers/<int:pk>/money/details/", customers.details, name="details"),
    path("shop/invoices/", shop.profile, name="shop"),
    path("shop/invoices/account/", shop.account, name="account"),
    path("shop/notices/add/", shop.notice_add, name="notice_add"),
    path("shop/notices/<int:pk>/", shop.notice, name="notice"),
]
