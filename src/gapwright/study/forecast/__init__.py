"""From members of a drilling to a forecast with bands; comparisons, sweeps and first looks."""
