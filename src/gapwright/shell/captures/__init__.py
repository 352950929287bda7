"""Readers of what instruments save, and the form in which a capture is kept."""
