"""Forms of service due."""
