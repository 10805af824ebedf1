"""Pages of service due."""
