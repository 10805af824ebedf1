"""Pages of customers, vessels, engines, units, hour meters and the log."""
