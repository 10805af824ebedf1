"""Addresses of the vessels app."""

from django.urls import path

from vessels.views import customers, engines, hulls, log, units

app_name = "vessels"
urlpatterns = [
    path("customers/", customers.customers, name="customers"),
    path("customers/add/", customers.customer_add, name="customer-add"),
    path("customers/<int:pk>/", customers.customer, name="customer"),
    path("customers/<int:pk>/change/", customers.customer_change, name="customer-change"),
    path("vessels/", hulls.vessels, name="list"),
    path("vessels/add/", hulls.vessel_add, name="vessel-add"),
    path("vessels/<int:pk>/", hulls.vessel, name="vessel"),
    path("vessels/<int:pk>/change/", hulls.vessel_change, name="vessel-change"),
    path("vessels/<int:pk>/owner/", hulls.vessel_owner, name="vessel-owner"),
    path("vessels/<int:pk>/engines/", engines.engines, name="engines"),
    path("vessels/<int:pk>/engines/add/", engines.engine_add, name="engine-add"),
    path("vessels/<int:pk>/units/add/", units.unit_add, name="unit-add"),
    path("vessels/<int:pk>/log/", log.log, name="log"),
    path("vessels/<int:pk>/note/", log.note, name="note"),
    path("engines/<int:pk>/change/", engines.engine_change, name="engine-change"),
    path("engines/<int:pk>/remove/", engines.engine_remove, name="engine-remove"),
    path("engines/<int:pk>/hours/", engines.hours, name="hours"),
    path("engines/<int:pk>/meter/", engines.meter_replace, name="meter-replace"),
    path("units/<int:pk>/", units.unit, name="unit"),
    path("units/<int:pk>/change/", units.unit_change, name="unit-change"),
    path("units/<int:pk>/remove/", units.unit_remove, name="unit-remove"),
    path("log/<uuid:pk>/", log.entry, name="entry"),
    path("log/<uuid:pk>/amend/", log.amend, name="amend"),
    path("log/<uuid:pk>/void/", log.void, name="void"),
]
