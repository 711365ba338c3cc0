"""isothrust accept: let a run count in spite of a fail, for a reason that is kept."""

from __future__ import annotations

import click

from isothrust.cli.deciding import decided_and_shown, deciding_options
from isothrust.workflows.decide import Wish

__all__ = ["command"]


@click.command("accept", help="Let runs count that a check has set aside; the reason is kept with the book.")
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
    """Accept, and show what counts now."""
    wish = Wish(runs, "accept", because, withdraw=withdraw, by=by)
    return decided_and_shown(wish, as_json=as_json, jobs=jobs, book=book)
