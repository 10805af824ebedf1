"""What is asked about parts on jobs."""
