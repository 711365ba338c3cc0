"""Formats of recordings: one small file each, chosen by what a file begins with, before its name."""
