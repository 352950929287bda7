"""gapwright: the workbench for a home-built spark-erosion hole-drilling rig."""

__version__ = "0.1.0"
