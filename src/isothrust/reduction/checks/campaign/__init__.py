"""Checks that hold the runs of a campaign against each other."""
