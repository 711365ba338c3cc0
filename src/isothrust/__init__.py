"""isothrust: figures from a propeller bench that can be compared, defended and published."""

__version__ = "0.1.0"

__all__ = ["__version__"]
