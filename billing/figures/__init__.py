"""What the shop's work and money add up to: hours, comebacks, days in each state, estimates, what is owed, sales."""
