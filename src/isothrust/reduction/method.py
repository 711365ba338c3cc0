"""The method's version: an integer that goes up whenever a stored figure would move."""

__all__ = ["METHOD_VERSION"]

METHOD_VERSION = 3
