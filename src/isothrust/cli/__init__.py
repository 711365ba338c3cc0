"""The command line: people come in here, and nothing is computed here."""

from __future__ import annotations

from isothrust.cli.main import main

__all__ = ["main"]
