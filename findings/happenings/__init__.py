"""What else happens to an engine or a boat, beside codes and readings: visual findings, function tests, settings."""
