"""How often one may ask the public page for what it does not know, or have it look through a file."""

from staff.doors.limits import Limit

CHECKS = Limit("report-checks", 20, 600)
