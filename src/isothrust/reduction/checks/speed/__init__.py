"""Tachometer: what makes a speed wrong."""
