"""Closed formulas: charging, discharging, coils, wires, sensing, timers."""
