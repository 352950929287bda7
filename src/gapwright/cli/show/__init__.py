"""Answers as text on a terminal; colour only where a terminal shows it."""
