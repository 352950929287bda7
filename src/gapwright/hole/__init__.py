"""Rank 2: the shapes of hole and electrode, spark by spark."""
