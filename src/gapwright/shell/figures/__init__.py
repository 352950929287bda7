"""Figures of a forecast, each a function from records to a matplotlib Figure."""
