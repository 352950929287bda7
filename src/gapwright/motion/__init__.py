"""Rank 2: the axis, the laws that move it and when they are stable."""
