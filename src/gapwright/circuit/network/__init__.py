"""Elements, netlists, and the equations of a circuit in each of its states."""
