"""Generators for a wanted spark: planned, verified over their tolerances, ranked."""
