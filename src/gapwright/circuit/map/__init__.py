"""The charge map: the engine's answers from section to section, as tables for the drilling."""
