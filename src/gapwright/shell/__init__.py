"""Rank 5: the hands that touch files, screens and processors."""
