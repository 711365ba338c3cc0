"""Logs to channels: what a run's files hold, in SI, each channel on its own clock; nothing cleaned, nothing guessed."""

from __future__ import annotations

from isothrust.ingest.recording import read_recording

__all__ = ["read_recording"]
