"""Captures beside the forecast: setting up, what was measured, captures made from the simulation."""
