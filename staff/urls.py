"""Addresses of people, shop and login. Only those pages of the login library that this shop uses are here."""

from django.urls import include, path

from staff import journal, views
from staff.doors import factor_views
from staff.doors import views as doors

staff_patterns = [
    path("staff/", views.people, name="list"),
    path("staff/add/", views.person_add, name="add"),
    path("staff/journal/", journal.journal, name="journal"),
    path("staff/journal.csv", journal.journal_csv, name="journal_csv"),
    path("staff/<int:pk>/", views.person_change, name="person"),
    path("staff/<int:pk>/password/", views.person_password, name="password"),
    path("accounts/", doors.own_login, name="own_login"),
    path("accounts/second-factor/", factor_views.overview, name="factors"),
    path("accounts/second-factor/app/", factor_views.add_app, name="factor_app"),
    path("accounts/second-factor/passkey/", factor_views.add_passkey, name="factor_passkey"),
    path("accounts/second-factor/codes/", factor_views.codes, name="factor_codes"),
    path("accounts/second-factor/<int:pk>/remove/", factor_views.remove, name="factor_remove"),
    path("staff/<int:pk>/second-factor/", factor_views.reset, name="factors_reset"),
    path("accounts/sessions/end/", doors.end_other_sessions, name="end_other_sessions"),
    path("accounts/sessions/<uuid:number>/end/", doors.end_session, name="end_session"),
    path("shop/", views.shop, name="shop"),
    path("shop/logo/", views.logo, name="logo"),
]

urlpatterns = [
    path("", include((staff_patterns, "staff"))),
    path("accounts/login/", views.log_in, name="account_login"),
    path("accounts/login/second-step/", factor_views.second_step, name="mfa_authenticate"),
    path("accounts/login/passkey/", factor_views.passkey_login, name="passkey_login"),
    path("accounts/logout/", views.log_out, name="account_logout"),
    path("accounts/password/", views.own_password, name="account_change_password"),
]
