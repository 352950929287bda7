"""The exact engine: modes, events, meters, waveforms."""
