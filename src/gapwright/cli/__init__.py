"""Rank 7: the command line: parse, call one verb, show."""
