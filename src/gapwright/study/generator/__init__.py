"""The generator alone: its circuit, its scenes, what each part endures, findings and remedies."""
