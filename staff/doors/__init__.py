"""Who comes in, from where, how often they may try, and what is told of it."""
