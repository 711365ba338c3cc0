"""What unknown columns may mean: evidence of several kinds, weighed; nothing guessed without saying so."""

from __future__ import annotations

from isothrust.ingest.mapping.kinds import KindProposal, propose_kind
from isothrust.ingest.mapping.layout import Look, layout_key, look_at, map_layout
from isothrust.ingest.mapping.looking import looks_at, sound_channels

__all__ = ["KindProposal", "Look", "layout_key", "look_at", "looks_at", "map_layout", "propose_kind", "sound_channels"]
