"""Rank 4: one function per verb of the user; effects only through ports."""
