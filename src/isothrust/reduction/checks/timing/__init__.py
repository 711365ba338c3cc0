"""Clocks, rates and delays."""
