"""Checks of a recording of sound."""
