"""Rank 2: what is true of an electric circuit that feeds a spark gap."""
