"""The checks of gapwright."""
