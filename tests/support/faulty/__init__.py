"""Faults of a bench, one file a group: what is planted in a simulated run, and the finding that must tell of it."""
