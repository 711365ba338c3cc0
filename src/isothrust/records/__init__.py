"""Frozen, named data in SI: the only thing passed between the boxes of a layer."""
