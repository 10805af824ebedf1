"""What the history of every fault in the shop says."""
