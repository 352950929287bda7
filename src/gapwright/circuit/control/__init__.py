"""What works the switches, and when the gap strikes."""
