"""The questions behind the shop's figures: each a fixed number, counted by the database."""
