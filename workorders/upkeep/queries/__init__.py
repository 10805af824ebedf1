"""What is asked about service due."""
