"""Pages of appointments and bays."""
