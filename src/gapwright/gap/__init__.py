"""Rank 2: what happens between electrode and workpiece before and between sparks."""
