"""CAN logs: brought to a job as a file, read in the background, looked through, then logged as scans and readings."""
