"""A page of more designs than can be told apart: that of the demonstration, with its first class's designs repeated."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from support.report_books import page_data


def crowded_page(report: Path, out: Path, *, least: int) -> list[str]:
    """Write a page whose largest class has `least` designs or more; return their names."""
    text, data = report.read_text(encoding="utf-8"), page_data(report)
    scope = max(data["scopes"], key=lambda one: len(one["designs"]))
    own = len(scope["designs"])
    copies = -(-least // own)
    for figure in scope["figures"].values():
        for column in ("value", "low", "high"):
            figure[column] *= copies
        for ranks in figure["ranks"]:
            _repeat(ranks, own, copies)
    scope["designs"] = [f"{name}{mark}" for mark in "-bcdefgh"[:copies] for name in scope["designs"]]
    scope["blades"] *= copies
    old = text[text.index('id="data">') + len('id="data">') :].partition("</script>")[0]
    out.write_text(text.replace(old, json.dumps(data).replace("<", "\\u003c")), encoding="utf-8")
    return scope["designs"]


def _repeat(ranks: dict[str, Any], own: int, copies: int) -> None:
    ranks["order"] = [number + own * copy for copy in range(copies) for number in ranks["order"]]
    for column in ("place", "text", "apart", "tied"):
        ranks[column] *= copies
