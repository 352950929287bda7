"""Decks for an outside simulator."""
