"""Findings about what shakes the stand, and about how it was recorded."""
