"""Rank 7: the bench, one local page and the calls behind it."""
