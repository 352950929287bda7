"""Readers of captures fed with wrong bytes."""
