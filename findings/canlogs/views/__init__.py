"""Pages of CAN logs."""
