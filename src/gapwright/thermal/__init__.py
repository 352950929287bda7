"""Rank 2: what the heat of a spark does to metal."""
