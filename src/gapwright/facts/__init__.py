"""Rank 1: materials, liquids, wire, preferred values, scales and safety limits.

Every number is a record of value, unit, source and status, kept in the data
files of this package and read on first use.
"""
