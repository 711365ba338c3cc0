"""isothrust leave-out: set a run aside that no check complains of, for a reason that is kept."""

from __future__ import annotations

import click

from isothrust.cli.deciding import decided_and_shown, deciding_options
from isothrust.workflows.decide import Wish

__all__ = ["command"]


@click.command("leave-out", help="Set runs aside by hand; the recordings stay, and the reason is kept with the book.")
@deciding_options
def command(
    *,
    runs: tuple[str, ...],
    because: str,
    withdraw: bool,
    by: str | None,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Leave out, and show what no longer counts."""
    wish = Wish(runs, "leave-out", because, withdraw=withdraw, by=by)
    return decided_and_shown(wish, as_json=as_json, jobs=jobs, book=book)
