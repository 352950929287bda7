"""Rank 3: questions that join families."""
