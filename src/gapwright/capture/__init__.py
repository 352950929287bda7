"""Rank 2: recorded gap voltage and current, and the sparks in them."""
