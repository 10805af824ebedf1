"""Hours of work: who worked on which line of a job, for how long, and what of it was charged."""
