"""Backups: database, files and keys in one sealed file, and the way back."""
