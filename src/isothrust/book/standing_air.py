"""The air of a run that no row describes yet: what was read for it, else the campaign's, else the book's."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from isothrust.book.airs import StatedAir, air_of, section_air
from isothrust.book.campaigns import CAMPAIGN_FILE, CAMPAIGNS
from isothrust.book.settings import read_settings
from isothrust.book.toml_section import Remarks, Section
from isothrust.book.toml_source import read_toml
from isothrust.records.air import Air
from isothrust.records.rig import Rig

__all__ = ["standing_air"]


def standing_air(root: Path, campaign: str, rig: Rig, own: Mapping[str, StatedAir]) -> Air | tuple[str, ...]:
    """Return the air that a row of this campaign with these cells would have, or the names of what nobody states.

    An empty campaign has no default of its own.

    Raises
    ------
    BookError
        Where book.toml or campaign.toml cannot be read.
    """
    remarks = Remarks()
    of_book = read_settings(root, remarks).air
    of_campaign: Mapping[str, StatedAir] = {}
    if campaign:
        name = f"{CAMPAIGNS}/{campaign}/{CAMPAIGN_FILE}"
        of_campaign = section_air(Section(read_toml(root / name, name), remarks))
    return air_of(rig, own, of_campaign, of_book)
