"""What every study stands on: records of an answer, a rig with its facts, constants, limits in words."""
