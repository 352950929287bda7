"""The kinds of generators as parametric netlists."""
