"""What unknown columns may mean: evidence of several kinds, weighed; nothing guessed without saying so."""

from __future__ import annotations

from isothrust.ingest.mapping.kinds import KindProposal, propose_kind
from isothrust.ingest.mapping.layout import Look, layout_key, look_at, map_layout

__all__ = ["KindProposal", "Look", "layout_key", "look_at", "map_layout", "propose_kind"]
