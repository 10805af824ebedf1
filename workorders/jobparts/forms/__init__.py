"""Forms of parts on the job."""
