"""The week: what is planned by bay and technician, whose hours, and which promised dates are at risk."""
