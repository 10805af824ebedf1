"""The shop's days as a calendar that other programs fetch: iCalendar, RFC 5545, at secret addresses."""
