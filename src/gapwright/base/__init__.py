"""Rank 0: units, errors, checks, sources, progress and compilation set-up."""
