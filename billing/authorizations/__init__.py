"""What customers authorized, up to what sum, and what happens where charges go past it."""
