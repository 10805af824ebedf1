"""What is planned by day and time: arrivals, haul-outs, launches, sea trials, by bay and technician."""
