"""What to do about a part that is asked for more than its maker allows, by part and quantity."""

REMEDIES = {
    ("store", "voltage"): "Lower the voltage, or take a capacitor rated well above it.",
    ("store", "reverse voltage"): (
        "Take a film capacitor rated for it, or shorten the leads so that the loop rings less."
    ),
    ("store", "ripple current, r.m.s."): (
        "It will run hot and age fast: share the current between several, or take film made for pulses."
    ),
    ("charging resistor", "power while sparking"): (
        "Take a larger one or cool it, and keep it clear of anything that burns."
    ),
    ("charging resistor", "power into a lasting short"): (
        "Take a resistor that bears a lasting short, or let the controller cut the supply when one lasts."
    ),
    ("coil", "peak current"): (
        "From there on it holds the current back less and less: take a coil that saturates later, or lower "
        "the peak current."
    ),
    ("switch", "peak current"): (
        "Take a larger transistor or lower the peak current; where a store that rings below zero drives it "
        "backwards, a diode across the store takes that over."
    ),
    ("switch", "voltage"): "Take a transistor rated well above it, since stray inductance adds to it.",
    ("diode", "reverse voltage"): "Take a diode rated well above it.",
    ("diode", "mean current"): "Take a larger diode, or lower the supply's current limit.",
    ("diode", "peak current"): (
        "Take a diode whose sheet allows such surges, or put a second one across the store so that a "
        "reversed store does not empty through it."
    ),
    ("supply", "mean current"): "Lower the spark rate or the energy, or take a stronger supply.",
}
"""Remedy of each rating."""
