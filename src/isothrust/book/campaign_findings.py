"""What was found by comparing the runs of a campaign: kept beside the runs, for it changes with any of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import polars as pl

from isothrust.book.codec import decode, dtype_of, encode
from isothrust.book.rows import parquet_bytes, read_rows
from isothrust.book.store import DERIVED
from isothrust.records.finding import Finding
from isothrust.tables.atomic import write_bytes

__all__ = ["CampaignFindings", "read_campaign_findings", "write_campaign_findings"]

FILE: Final = ".campaign-findings"
_FINDINGS: Final = tuple[Finding, ...]
_COLUMNS: Final[Mapping[str, pl.DataType]] = {
    "campaign": pl.String(),
    "key": pl.String(),
    "findings": dtype_of(_FINDINGS),
}


@dataclass(frozen=True, slots=True)
class CampaignFindings:
    """Findings of one campaign, each with its run's name, and the hash of what they rest on."""

    key: str
    findings: tuple[Finding, ...]


def read_campaign_findings(root: str | Path) -> dict[str, CampaignFindings]:
    """Return what was found, campaign by campaign; nothing where nothing can be read."""
    rows = read_rows(Path(root) / DERIVED / FILE, _COLUMNS) or []
    return {row["campaign"]: CampaignFindings(row["key"], decode(row["findings"], _FINDINGS)) for row in rows}


def write_campaign_findings(root: str | Path, found: Mapping[str, CampaignFindings]) -> None:
    """Write what was found, whole or not at all."""
    folder = Path(root) / DERIVED
    folder.mkdir(parents=True, exist_ok=True)
    rows: list[dict[str, Any]] = [
        {"campaign": campaign, "key": one.key, "findings": encode(one.findings, _FINDINGS)}
        for campaign, one in found.items()
    ]
    write_bytes(folder / FILE, parquet_bytes(rows, _COLUMNS))
