"""The envelope under every write: an act with an id, done once, and refused where the id stands for something else."""
