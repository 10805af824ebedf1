"""Pages of parts on the job."""
