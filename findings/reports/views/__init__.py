"""Pages of the condition report."""
